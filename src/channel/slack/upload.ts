import * as z from 'zod';
import { oneRun } from './one-run.js';
import { escaped } from './text.js';
import { type Web, WebFault } from './web.js';

export type Upload = {
  readonly channel: string;
  readonly thread: string;
  readonly name: string;
  readonly bytes: Buffer;
  /** What people and screen readers get of it. */
  readonly comment: string;
  /** For pictures: what stands in it, in words. */
  readonly alt?: string;
};

const PLACE = z.object({ upload_url: z.string(), file_id: z.string() });
const FIRST_WAIT_MS = 5000;
const LONGEST_WAIT_MS = 10 * 60_000;
const MOST_TRIES = 12;
/** Without the right or the method, no second try helps. */
const WITHOUT = new Set([
  'unknown_method',
  'missing_scope',
  'not_allowed_token_type',
  'file_uploads_disabled',
  'restricted_action',
]);

/** Files on their way up, in order; the conversation never waits for them. */
export class Uploads {
  private readonly waiting: { readonly upload: Upload; tries: number }[] = [];
  private notBefore = 0;
  private without = false;

  constructor(
    private readonly parts: {
      readonly web: Web;
      readonly now: () => number;
      readonly fetch: typeof fetch;
      /** Called once, when it turns out that this workspace takes no files from us. */
      readonly cannot: (upload: Upload) => void;
      readonly report: (words: string) => void;
    },
  ) {}

  /** Whether this workspace takes files from us, as far as is known. */
  get able(): boolean {
    return !this.without;
  }

  add(upload: Upload): void {
    if (this.without) return;
    this.waiting.push({ upload, tries: 0 });
    void this.run();
  }

  readonly run = oneRun(() => this.all());

  private async all(): Promise<void> {
    const { now, report, cannot } = this.parts;
    for (let next = this.waiting[0]; next !== undefined; next = this.waiting[0]) {
      if (now() < this.notBefore) return;
      try {
        await this.send(next.upload);
      } catch (error) {
        const fault = error instanceof WebFault ? error : new WebFault('unknown', String(error));
        if (WITHOUT.has(fault.says)) {
          this.without = true;
          this.waiting.length = 0;
          return cannot(next.upload);
        }
        next.tries++;
        const wait = Math.min(LONGEST_WAIT_MS, FIRST_WAIT_MS * 2 ** (next.tries - 1));
        this.notBefore = now() + Math.max(fault.retryMs, wait);
        if (next.tries < MOST_TRIES && fault.code !== 'refused') return;
        report(`${next.upload.name} could not be uploaded and is left out: ${fault.says}`);
      }
      this.waiting.shift();
    }
  }

  /** The three calls: a place for it, the bytes, and where it is shown. */
  private async send({ channel, thread, name, bytes, comment, alt }: Upload): Promise<void> {
    const { web } = this.parts;
    const asked = await web.call('files.getUploadURLExternal', {
      filename: name,
      length: bytes.length,
      ...(alt === undefined ? {} : { alt_txt: alt }),
    });
    const { upload_url, file_id } = PLACE.parse(asked);
    // Raw bytes: the place takes them as well as a form, and they arrive as they are.
    const sent = await this.parts.fetch(upload_url, {
      method: 'POST',
      body: new Uint8Array(bytes),
      redirect: 'error',
    });
    if (!sent.ok) throw new WebFault('unknown', `upload_${sent.status}`);
    await web.call('files.completeUploadExternal', {
      files: [{ id: file_id, title: name }],
      channel_id: channel,
      thread_ts: thread,
      initial_comment: escaped(comment),
    });
  }
}
