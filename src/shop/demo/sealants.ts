import type { Written } from '../documents.js';

export const SEALANTS: Written['sealants.json'] = {
  products: [
    {
      id: 'moorseal-4',
      name: 'Moorseal 4 (demo)',
      reference: 'demo data sheet Moorseal 4, issue 2',
      sheet: {
        'flash-off': '5 min',
        'skin-time': '25 min',
        'depth-24h': '4 mm',
        'handle-part': '50 %',
        'test-part': '75 %',
        'drive-part': '100 %',
      },
    },
  ],
  batches: [
    { batch: 'MS4-2511', product: 'moorseal-4', useBy: '2026-08-31' },
    { batch: 'MS4-2601', product: 'moorseal-4', useBy: '2026-10-31' },
    {
      batch: 'MS4-2502',
      product: 'moorseal-4',
      useBy: '2026-02-15',
      note: 'past its day: to be thrown away',
    },
  ],
};
