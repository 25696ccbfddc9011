import { createHash } from 'node:crypto';
import type { Disk } from '../../journal/disk.js';
import type { SharedFile } from './reading.js';

/** A photo may have so many bytes. */
const MOST_BYTES = 20 * 1024 * 1024;
const FOLDER = 'photos';
const TIMEOUT_MS = 8000;

/** It cannot be had, now and later; the message stands without it. */
export class NoPhoto extends Error {}

export type PhotoParts = {
  readonly disk: Disk;
  readonly fetch: typeof fetch;
  readonly token: string;
  readonly apiUrl: string | null;
};

export const isImage = ({ mimetype }: SharedFile) => mimetype?.startsWith('image/') === true;

/**
 * Fetches the bytes of a shared picture and keeps them under their hash, on the disk when this returns.
 *
 * @throws {NoPhoto} when it is none, or too large, or refused to us. Anything else: it may be had later.
 */
export async function keepPhoto(parts: PhotoParts, file: SharedFile): Promise<string> {
  const url = file.url_private_download ?? '';
  if (!isOurs(url, parts.apiUrl)) throw new NoPhoto('its address is not the platform’s');
  if ((file.size ?? 0) > MOST_BYTES) throw new NoPhoto('it is larger than 20 MB');
  const answer = await parts.fetch(url, {
    headers: { authorization: `Bearer ${parts.token}` },
    redirect: 'error',
    signal: AbortSignal.timeout(TIMEOUT_MS),
  });
  if (answer.status >= 500) throw new Error(`the platform answered ${answer.status}`);
  if (!answer.ok) throw new NoPhoto(`the platform answered ${answer.status}`);
  const bytes = Buffer.from(await answer.arrayBuffer());
  if (bytes.length > MOST_BYTES) throw new NoPhoto('it is larger than 20 MB');
  // Without the right to read files the platform answers with its sign-in page.
  if (!isPicture(bytes)) throw new NoPhoto('what came is no picture; the app may lack files:read');
  return keep(parts.disk, bytes);
}

/** The token goes to the platform and nowhere else. */
function isOurs(url: string, apiUrl: string | null): boolean {
  if (!URL.canParse(url)) return false;
  const { protocol, hostname, host } = new URL(url);
  if (apiUrl !== null && host === new URL(apiUrl).host) return true;
  return protocol === 'https:' && (hostname === 'slack.com' || hostname.endsWith('.slack.com'));
}

async function keep(disk: Disk, bytes: Buffer): Promise<string> {
  const sha256 = createHash('sha256').update(bytes).digest('hex');
  const path = `${FOLDER}/${sha256}`;
  if (await disk.exists(path)) return sha256;
  await disk.makeFolder(FOLDER);
  await disk.write(`${path}.new`, bytes);
  await disk.rename(`${path}.new`, path);
  return sha256;
}

/** By its first bytes: JPEG, PNG, GIF, WEBP, or a phone's HEIC. */
export function isPicture(bytes: Uint8Array): boolean {
  const text = Buffer.from(bytes.subarray(0, 12)).toString('latin1');
  return (
    text.startsWith('\u00ff\u00d8\u00ff') ||
    text.startsWith('\u0089PNG') ||
    text.startsWith('GIF8') ||
    (text.startsWith('RIFF') && text.slice(8, 12) === 'WEBP') ||
    /^.{4}ftyp(?:hei|mif|avi)/s.test(text)
  );
}
