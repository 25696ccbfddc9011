import { openBareApp } from './slack-bare.js';

/** A process with the library's app and nothing else. */
await openBareApp(process.env.SLACK_API_URL ?? '', 'socket', {
  keep: () => undefined,
  post: () => ({
    text: 'Noted.',
    blocks: [{ type: 'section', text: { type: 'plain_text', text: 'Noted.' } }],
  }),
});
