import { test } from 'vitest';
import { runFlows } from './claims.js';

test(
  'whatever people say and whatever befalls the bay, no gate of the smaller jobs passes without its word, and every job ends',
  () =>
    runFlows(
      [{ flow: 'lv-battery' }, { flow: 'hv-cable' }, { flow: 'coolant-renew' }, { flow: 'tyre-swap' }],
      false,
    ),
  900_000,
);
