import { Hono } from 'hono';
import { addCalendar, type CalendarParts } from './calendar.js';
import type { Door } from './door.js';
import { guard } from './guard.js';
import { addLive, type Live, type LiveParts } from './live.js';
import { photoType, readPhoto } from './photos.js';
import { addPictures, type PicturesParts } from './pictures.js';
import { addSaying, type SayingParts } from './saying.js';
import { addSignIn, type SignInParts } from './sign-in.js';

export type ServerParts = Omit<SayingParts, 'heard'> &
  Omit<LiveParts, 'speaker'> &
  SignInParts &
  CalendarParts &
  PicturesParts & {
    readonly door: Door;
    /** What went wrong while an answer was made, for the console. */
    readonly report: (words: string) => void;
  };

/** Everything that the page asks, answered behind the door. */
export function startServer(parts: ServerParts): Live {
  const { door, people, disk, report } = parts;
  const app = new Hono();
  // The door has looked already; here it sets the headers of what is answered.
  app.use(guard(() => door.hosts()));
  const live = addLive(app, { ...parts, speaker: (c) => people.speaker(c) });
  addSaying(app, { ...parts, heard: (bay) => live.changed(bay) });
  addSignIn(app, parts);
  addPictures(app, parts);
  addCalendar(app, parts);
  app.get('/photo/:sha256', async (c) => {
    const bytes = await readPhoto(disk, c.req.param('sha256'));
    if (bytes === null) return c.text('There is no such photo.', 404);
    c.header('cache-control', 'private, max-age=31536000, immutable');
    const type = photoType(bytes) ?? 'application/octet-stream';
    return c.body(new Uint8Array(bytes), 200, { 'content-type': type });
  });
  app.notFound((c) => c.json({ why: 'There is nothing here.' }, 404));
  app.onError((error, c) => {
    // A personal link is a key, and so is the calendar's address: no log shows them.
    report(`${c.req.method} ${c.req.path.replace(/^\/(as|due)\/.*/, '/$1/…')}: ${String(error)}`);
    return c.json({ why: 'The workshop computer could not do that. It may have arrived.' }, 500);
  });
  door.open(app);
  return live;
}
