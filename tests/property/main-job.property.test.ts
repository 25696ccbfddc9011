import { test } from 'vitest';
import { runFlows } from './claims.js';

// Seed and length can be set: PROPERTY_SEED=7 PROPERTY_INPUTS=2000 npx vitest run property
test(
  'whatever people say and whatever befalls the bay, no gate of the main job passes without its word, and every job ends',
  () => runFlows(['disconnect-fuse', 'trial-reseal', 'trial-power', 'trial-cure'], true),
  300_000,
);
