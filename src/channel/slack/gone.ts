/** With these the platform lets us in no more, whatever we do from here. */
const GONE = new Set([
  'app_uninstalled',
  'tokens_revoked',
  'invalid_auth',
  'account_inactive',
  'token_revoked',
  'not_authed',
]);

/**
 * Says once that the platform lets us in no more, where somebody still looks: on the console and on the page. The desk
 * goes on; what it has to say waits for the day the app is back.
 */
export function goneTeller(tell: (words: string) => void): (says: string) => void {
  let told = false;
  return (says) => {
    if (told || !GONE.has(says)) return;
    told = true;
    tell(
      `SLACK IS GONE (${says}): the app was taken off the workspace, or its token was. Nothing said there is heard. ` +
        'Timers and records go on, this page too. Install the app again, set the new SLACK_BOT_TOKEN and start anew: what was not told is told then.',
    );
  };
}

/** The reason when an event says that the app or its bot's token is gone; null for any other. Tokens of people are not ours. */
export function goneBy(event: Readonly<Record<string, unknown>>): string | null {
  if (event.type === 'app_uninstalled') return event.type;
  if (event.type !== 'tokens_revoked') return null;
  const { tokens } = event;
  const bots = typeof tokens === 'object' && tokens !== null && 'bot' in tokens ? tokens.bot : null;
  return Array.isArray(bots) && bots.length > 0 ? event.type : null;
}
