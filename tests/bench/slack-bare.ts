import { App, HTTPReceiver, LogLevel, type Receiver, SocketModeReceiver } from '@slack/bolt';
import { BOT } from '../channel/slack/standin/web-api.js';

export const SECRET = 'shh';

/** What the bare handler does with a message: what is to be on the disk, and what is posted. */
export type BareWork = {
  readonly keep: () => void;
  readonly post: () => { readonly text: string; readonly blocks: readonly unknown[] };
};

export type BareApp = { readonly port: number; stop(): Promise<void> };

/**
 * The library's app with one handler that writes, flushes and posts in the thread. The floor under every durable answer:
 * it hears nothing, knows nobody, and loses the message where it dies after the acknowledgement.
 */
export async function openBareApp(api: string, mode: 'socket' | 'http', work: BareWork): Promise<BareApp> {
  const clientOptions = { slackApiUrl: api };
  const logLevel = LogLevel.ERROR;
  const receiver: Receiver =
    mode === 'socket'
      ? new SocketModeReceiver({ appToken: BOT.appToken, logLevel, installerOptions: { clientOptions } })
      : new HTTPReceiver({ signingSecret: SECRET, port: 0, logLevel });
  const app = new App({
    token: BOT.token,
    receiver,
    logLevel,
    clientOptions: { ...clientOptions },
    deferInitialization: true,
  });
  app.message(async ({ message, client }) => {
    work.keep();
    const thread = 'thread_ts' in message && message.thread_ts !== undefined ? message.thread_ts : message.ts;
    const { text, blocks } = work.post();
    const said = { channel: message.channel, thread_ts: thread, text, blocks };
    await client.apiCall('chat.postMessage', said);
  });
  await app.init();
  const started: unknown = await app.start();
  return { port: portOf(started), stop: async () => void (await app.stop()) };
}

function portOf(started: unknown): number {
  if (typeof started !== 'object' || started === null || !('address' in started)) return 0;
  const address: unknown = typeof started.address === 'function' ? started.address() : null;
  return typeof address === 'object' && address !== null && 'port' in address ? Number(address.port) : 0;
}
