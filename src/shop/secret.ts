import { randomBytes, scrypt, timingSafeEqual } from 'node:crypto';
import * as z from 'zod';
import { say } from './fault.js';

/** A PIN or a link as the register keeps it: never itself, only what it can be compared with. */
export const SECRET = z.strictObject({
  salt: z.string().regex(/^[0-9a-f]{32}$/, say('it is no salt', 'Take the entry out and set it again.')),
  hash: z.string().regex(/^[0-9a-f]{64}$/, say('it is no hash', 'Take the entry out and set it again.')),
});
export type Secret = z.output<typeof SECRET>;

/** A PIN is 4 to 12 digits: more is not typed with a glove, fewer are tried out in an afternoon. */
export const PIN = /^\d{4,12}$/;

/** Cost of one comparison, about 40 ms: node's defaults, N = 16,384, r = 8, p = 1. */
const BYTES = 32;

/** The salted scrypt hash of a text. */
export async function secretOf(text: string): Promise<Secret> {
  const salt = randomBytes(16).toString('hex');
  return { salt, hash: (await hashOf(text, salt)).toString('hex') };
}

/** Whether this is the text of which the secret was made. Takes the same time for every wrong text. */
export async function isSecret(secret: Secret, text: string): Promise<boolean> {
  const hash = Buffer.from(secret.hash, 'hex');
  const said = await hashOf(text, secret.salt);
  return hash.length === said.length && timingSafeEqual(hash, said);
}

/** A random text for a link, 256 bits. */
export function newToken(): string {
  return randomBytes(32).toString('base64url');
}

function hashOf(text: string, salt: string): Promise<Buffer> {
  return new Promise((resolve, reject) =>
    scrypt(text.normalize('NFC'), Buffer.from(salt, 'hex'), BYTES, (error, key) =>
      error === null ? resolve(key) : reject(error),
    ),
  );
}
