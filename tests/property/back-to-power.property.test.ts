import { test } from 'vitest';
import { runFlows } from './claims.js';

const only = { access: 'pack-out' };

test(
  'whatever people say and whatever befalls the bay, no gate on the way back to power passes without its word, and every job ends',
  () =>
    runFlows(
      [
        { flow: 'trial-circuit', only },
        { flow: 'trial-insulate' },
        { flow: 'trial-apart', only },
        { flow: 'trial-power' },
      ],
      false,
    ),
  900_000,
);
