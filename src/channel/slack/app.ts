import { setImmediate as turn } from 'node:timers/promises';
import { App, type Receiver } from '@slack/bolt';
import { SAYS } from './button.js';
import { quiet } from './logger.js';
import { COMMAND, type Command, TAP, type Tap } from './payload.js';
import type { SlackSettings } from './settings.js';
import { clientOptions } from './web.js';

export type AppParts = {
  readonly settings: Pick<SlackSettings, 'botToken' | 'apiUrl'>;
  readonly receiver: Receiver;
  readonly fetch?: typeof fetch;
  /** Settles when everything of the event is on disk; throws when it may not be acknowledged. */
  readonly event: (body: unknown) => Promise<void>;
  readonly tap: (tap: Tap) => Promise<void>;
  /** Gives what only the sender of the command reads. */
  readonly command: (command: Command) => Promise<string>;
  readonly report: (words: string) => void;
};

/**
 * The library's app. It acknowledges an event before anybody has heard it, so an event is put on disk before the
 * library gets it: what throws there is not acknowledged, and the platform sends it again.
 */
export function makeApp(parts: AppParts): App {
  const { settings, receiver, report } = parts;
  const app = new App({
    token: settings.botToken,
    receiver,
    logger: quiet(report),
    deferInitialization: true,
    convoStore: false,
    extendedErrorHandler: true,
    clientOptions: clientOptions({
      apiUrl: settings.apiUrl,
      ...(parts.fetch === undefined ? {} : { fetch: parts.fetch }),
    }),
  });
  const process = app.processEvent.bind(app);
  app.processEvent = async (event) => {
    if (event.body.type !== 'event_callback') return process(event);
    await parts.event(event.body);
    // Somebody waits for the answer, and nobody for the acknowledgement: it goes out behind it. Nobody in the library
    // listens to events, so none is handed on.
    await turn();
    await event.ack();
  };
  app.action(SAYS, async ({ ack, body }) => {
    const tap = TAP.safeParse(body);
    if (tap.success) await parts.tap(tap.data);
    await ack();
  });
  app.command(/.*/, async ({ ack, body }) => {
    const command = COMMAND.safeParse(body);
    await ack(command.success ? await parts.command(command.data) : 'This command could not be read.');
  });
  app.error(async ({ error }: Parameters<Parameters<App['error']>[0]>[0] & { error: Error }) => {
    report(`Something from Slack was not taken: ${error.message}`);
  });
  return app;
}
