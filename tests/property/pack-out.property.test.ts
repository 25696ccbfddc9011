import { test } from 'vitest';
import { runFlows } from './claims.js';

const only = { access: 'pack-out' };

test(
  'whatever people say and whatever befalls the bay, no gate of the pack-out job passes without its word, and every job ends',
  () =>
    runFlows(
      [
        { flow: 'disconnect-fuse', only },
        { flow: 'trial-pack', only },
      ],
      true,
    ),
  900_000,
);
