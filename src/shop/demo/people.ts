import type { Written } from '../documents.js';

export const PEOPLE: Written['people.json'] = {
  people: [
    {
      id: 'orla',
      name: 'Orla Fenwick',
      roles: ['foreman', 'technician'],
      levels: [{ level: '3S', until: '2027-01-31' }],
    },
    {
      id: 'mara',
      name: 'Mara Tillet',
      roles: ['technician'],
      levels: [{ level: '3S', until: '2026-11-30' }],
    },
    { id: 'jory', name: 'Jory Pask', roles: ['technician'], levels: [{ level: '3S', until: '2026-09-30' }] },
    {
      id: 'tamsin',
      name: 'Tamsin Roake',
      roles: ['technician'],
      levels: [{ level: '2S', until: '2026-12-31' }],
    },
    {
      id: 'wilf',
      name: 'Wilf Harrow',
      roles: ['technician'],
      levels: [{ level: '2S', until: '2026-10-31' }],
      note: 'stands by in both bays, one at a time',
    },
    {
      id: 'pip',
      name: 'Pip Lorne',
      roles: ['trainee'],
      levels: [{ level: '1S', until: '2026-01-31' }],
      note: 'level ran out in January; refresher booked',
    },
    { id: 'desk', name: 'Front desk', roles: ['desk'] },
  ],
};
