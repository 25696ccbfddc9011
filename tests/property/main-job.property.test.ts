import { test } from 'vitest';
import { runFlows } from './claims.js';

// Seed and length can be set: PROPERTY_SEED=7 PROPERTY_INPUTS=2000 npx vitest run property
test(
  'whatever people say and whatever befalls the bay, no gate of the hatch job passes without its word, and every job ends',
  () =>
    runFlows(
      [
        { flow: 'disconnect-fuse', only: { access: 'hatch' } },
        { flow: 'trial-reseal' },
        { flow: 'trial-cure' },
      ],
      true,
    ),
  900_000,
);
