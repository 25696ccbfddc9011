import type { Written } from '../documents.js';

export const BAYS: Written['bays.json'] = {
  bays: [
    { id: '1', label: 'Bay 1', lift: 'L1' },
    { id: '2', label: 'Bay 2', lift: 'L2' },
    { id: '3', label: 'Bay 3, no lift', lift: null },
  ],
};
