import type { Hono } from 'hono';
import type { Clock } from '../../desk/clock.js';
import type { Desk } from '../../desk/desk.js';
import type { FlowSource } from '../../desk/flow-source.js';
import type { Disk } from '../../journal/disk.js';
import { openStore } from '../../journal/store.js';
import { picturesOf } from '../../record/pictures.js';

export type PicturesParts = {
  readonly desk: () => Desk;
  readonly disk: Disk;
  readonly flows: FlowSource;
  readonly clock: Clock;
};

/** `GET /pictures/BAY`: the curves and patterns of the job in a bay, or of the one that ended there last. */
export function addPictures(app: Hono, { desk, disk, flows, clock }: PicturesParts): void {
  // Only read: the desk's own store is the one that writes.
  const store = openStore(disk);
  app.get('/pictures/:bay', async (c) => {
    const bay = c.req.param('bay');
    const job = desk().lastJobOf(bay);
    const current = job === null ? null : flows.current(job.flow);
    const flow = desk().flowOf(bay) ?? (current?.bundle === job?.bundle ? current : null);
    const journal = job === null ? null : await store.read(job.id);
    if (job === null || flow === null || journal === null) return c.json({ pictures: [] });
    return c.json({ pictures: picturesOf(job, flow, journal.lines, clock.now()) });
  });
}
