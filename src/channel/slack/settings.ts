/** What the workshop sets for this channel, from the environment. */
export type SlackSettings = {
  /** `xoxb-…` */
  readonly botToken: string;
  /** `xapp-…`: sockets, no public address needed. Null where requests come in over HTTP. */
  readonly appToken: string | null;
  /** For requests over HTTP: the app's signing secret and the port to listen on. */
  readonly http: { readonly signingSecret: string; readonly port: number; readonly host?: string } | null;
  /** Another address of the Web API, for tests; null for the platform itself. */
  readonly apiUrl: string | null;
  /** Channel of the foreman's posts; null puts them into the bays' own channels. */
  readonly foreman: string | null;
  /** Channel of the shop's posts; null puts them where the foreman's go. */
  readonly shop: string | null;
};

export class SlackSettingFault extends Error {}

/**
 * Reads the settings from the environment. Null when none of the tokens is set: the workshop does without.
 *
 * @throws {SlackSettingFault} with the name of the setting and what to do.
 */
export function slackSettings(
  environment: Readonly<Record<string, string | undefined>>,
): SlackSettings | null {
  const read = (name: string) => environment[name]?.trim() || null;
  const [botToken, appToken, secret, port] = [
    read('SLACK_BOT_TOKEN'),
    read('SLACK_APP_TOKEN'),
    read('SLACK_SIGNING_SECRET'),
    read('SLACK_HTTP_PORT'),
  ];
  if (botToken === null && appToken === null && port === null) return null;
  if (botToken === null || !botToken.startsWith('xoxb-'))
    throw new SlackSettingFault(
      'SLACK_BOT_TOKEN: it begins with xoxb-. Copy it from "OAuth & Permissions" of the app.',
    );
  if (appToken !== null && !appToken.startsWith('xapp-'))
    throw new SlackSettingFault(
      'SLACK_APP_TOKEN: it begins with xapp-. Make one under "Basic Information", App-Level Tokens, scope connections:write.',
    );
  if (appToken === null && port === null)
    throw new SlackSettingFault(
      'SLACK_APP_TOKEN is missing. Set it for Socket Mode, or SLACK_HTTP_PORT and SLACK_SIGNING_SECRET for HTTP.',
    );
  return {
    botToken,
    appToken: port === null ? appToken : null,
    http: port === null ? null : httpOf(port, secret),
    apiUrl: read('SLACK_API_URL'),
    foreman: channelId('SLACK_FOREMAN_CHANNEL', read('SLACK_FOREMAN_CHANNEL')),
    shop: channelId('SLACK_SHOP_CHANNEL', read('SLACK_SHOP_CHANNEL')),
  };
}

function httpOf(port: string, secret: string | null): NonNullable<SlackSettings['http']> {
  if (!/^\d+$/.test(port) || Number(port) > 65_535)
    throw new SlackSettingFault(`SLACK_HTTP_PORT: "${port}" is no port. Set a number from 1 to 65535.`);
  if (secret === null)
    throw new SlackSettingFault(
      'SLACK_SIGNING_SECRET is missing. Copy it from "Basic Information" of the app; without it anybody could send us words.',
    );
  return { port: Number(port), signingSecret: secret };
}

/** Ids and not names: a channel keeps its id when it is renamed. */
function channelId(name: string, value: string | null): string | null {
  if (value === null || /^[CG][A-Z0-9]+$/.test(value)) return value;
  throw new SlackSettingFault(
    `${name}: "${value}" is no channel id. Open the channel's details in Slack; the id, like C0123ABCD, stands at the bottom.`,
  );
}
