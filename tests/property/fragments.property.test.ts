import { test } from 'vitest';
import { runFlows } from './claims.js';

test(
  'whatever people say and whatever befalls the bay, no gate of making safe and its parts passes without its word, and every job ends',
  () =>
    runFlows(
      [{ flow: 'make-safe' }, { flow: 'trial-prove' }, { flow: 'trial-raise' }, { flow: 'trial-enter' }],
      false,
    ),
  900_000,
);
