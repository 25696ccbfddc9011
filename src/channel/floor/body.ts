import type { Context } from 'hono';
import type * as z from 'zod';

/** A message of a page, photos apart, may have so many bytes. */
export const MOST_BODY_BYTES = 64 * 1024;

/** The body of a request, or `too-large` as soon as it is. */
export async function bytesOf(c: Context, most: number): Promise<Buffer | 'too-large'> {
  if (Number(c.req.header('content-length') ?? 0) > most) return 'too-large';
  const chunks: Uint8Array[] = [];
  let length = 0;
  const reader = c.req.raw.body?.getReader();
  while (reader !== undefined) {
    const { done, value } = await reader.read();
    if (done) break;
    length += value.length;
    if (length > most) {
      await reader.cancel().catch(() => undefined);
      return 'too-large';
    }
    chunks.push(value);
  }
  return Buffer.concat(chunks);
}

/** The body as the schema has it, or the answer that refuses it. */
export async function jsonOf<T>(
  c: Context,
  schema: z.ZodType<T>,
): Promise<{ readonly ok: true; readonly value: T } | { readonly ok: false; readonly answer: Response }> {
  const bytes = await bytesOf(c, MOST_BODY_BYTES);
  if (bytes === 'too-large') {
    return { ok: false, answer: c.json({ why: 'Too long: at most 64 kB are taken.' }, 413) };
  }
  try {
    const parsed = schema.safeParse(JSON.parse(bytes.toString('utf8')));
    if (parsed.success) return { ok: true, value: parsed.data };
  } catch {}
  return { ok: false, answer: c.json({ why: 'That is no message of this page. Load the page again.' }, 400) };
}
