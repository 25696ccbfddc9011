import { createHash } from 'node:crypto';
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Context, Hono } from 'hono';

const TYPES: Readonly<Record<string, string>> = {
  html: 'text/html; charset=utf-8',
  js: 'text/javascript; charset=utf-8',
  css: 'text/css; charset=utf-8',
  svg: 'image/svg+xml',
  png: 'image/png',
  webmanifest: 'application/manifest+json',
};
const NAME = /^[A-Za-z0-9][\w.-]*\.(html|js|css|svg|png|webmanifest)$/;

type PageFile = { readonly bytes: Buffer; readonly etag: string; readonly type: string };

/** Serves the built page from its folder; only the files that stand in it now, by name. */
export function addPageFiles(app: Hono, folder: string): void {
  const names = new Set(existsSync(folder) ? readdirSync(folder).filter((name) => NAME.test(name)) : []);
  const known = new Map<string, PageFile>();

  const file = (name: string): PageFile | null => {
    const read = known.get(name);
    if (read !== undefined) return read;
    if (!names.has(name)) return null;
    const bytes = readFileSync(join(folder, name));
    const etag = `"${createHash('sha256').update(bytes).digest('hex').slice(0, 32)}"`;
    const found = { bytes, etag, type: TYPES[name.slice(name.lastIndexOf('.') + 1)] ?? '' };
    known.set(name, found);
    return found;
  };

  const serve = (c: Context, name: string) => {
    const found = file(name);
    if (found === null) return c.text(name === 'index.html' ? NOT_BUILT : 'There is no such file.', 404);
    c.header('etag', found.etag);
    c.header('cache-control', 'no-cache');
    if (c.req.header('if-none-match') === found.etag) return c.body(null, 304);
    return c.body(new Uint8Array(found.bytes), 200, { 'content-type': found.type });
  };

  app.get('/', (c) => serve(c, 'index.html'));
  app.get('/:file{[A-Za-z0-9][A-Za-z0-9_.-]*\\.[a-z]+}', (c) => serve(c, c.req.param('file')));
}

const NOT_BUILT = 'The page is not built: npm run build';
