import * as z from 'zod';
import type { Web } from './web.js';

/** Who we are on the platform. */
export type Self = { readonly bot: string; readonly user: string; readonly team: string };

const SELF = z.object({ bot_id: z.string(), user_id: z.string(), team_id: z.string() });

/** Asks once, and again until it is answered; what is known stays known. */
export class Identity {
  private self: Self | null = null;

  constructor(private readonly web: Web) {}

  get known(): Self | null {
    return this.self;
  }

  /** @throws {WebFault} while nobody answers. */
  async ask(): Promise<Self> {
    if (this.self === null) {
      const { bot_id, user_id, team_id } = SELF.parse(await this.web.call('auth.test', {}));
      this.self = { bot: bot_id, user: user_id, team: team_id };
    }
    return this.self;
  }
}
