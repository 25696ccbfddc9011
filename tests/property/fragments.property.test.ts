import { test } from 'vitest';
import { runFlows } from './claims.js';

test(
  'whatever people say and whatever befalls the bay, no gate of making safe and its parts passes without its word, and every job ends',
  () => runFlows(['make-safe', 'trial-prove', 'trial-raise', 'trial-enter'], false),
  300_000,
);
