import * as z from 'zod';
import type { Register } from '../../shop/register.js';
import { VIA } from './rooms.js';
import { type Web, WebFault } from './web.js';

const USER = z.object({
  user: z.object({
    team_id: z.string().nullish(),
    real_name: z.string().nullish(),
    is_restricted: z.boolean().nullish(),
    is_ultra_restricted: z.boolean().nullish(),
    is_stranger: z.boolean().nullish(),
    profile: z.object({ display_name: z.string().nullish(), real_name: z.string().nullish() }).nullish(),
  }),
});

type Known = { readonly name: string | null; readonly guest: boolean; readonly at: number };
export type Who = { readonly by: string; readonly name: string };

const FRESH_MS = 60 * 60_000;

/**
 * Who speaks: by the platform's id, since names change and repeat. In the register by its accounts, everybody else a
 * guest; guests of the workspace and people of other workspaces are guests even with an account in the register.
 */
export class People {
  private readonly users = new Map<string, Known>();
  private readonly asking = new Set<string>();
  /** Names cannot be had here; asked no more. */
  private without = false;

  constructor(
    private readonly web: Web,
    private readonly register: () => Register,
    private readonly now: () => number,
  ) {}

  /** `stranger`: the message itself says that its writer is of another workspace. */
  who(user: string, stranger: boolean): Who {
    const known = this.users.get(user);
    if (known === undefined || this.now() - known.at > FRESH_MS) void this.ask(user);
    const id = this.register().accounts.get(`${VIA}:${user}`);
    const person = id === undefined ? undefined : this.register().people.get(id);
    const name = known?.name ?? person?.name ?? user;
    if (person === undefined || stranger || known?.guest === true) return { by: `guest:${user}`, name };
    return { by: person.id, name };
  }

  /** The platform's id of somebody in the register, or null. */
  accountOf(person: string): string | null {
    for (const [account, id] of this.register().accounts)
      if (id === person && account.startsWith(`${VIA}:`)) return account.slice(VIA.length + 1);
    return null;
  }

  /** Mentions of the foremen, so that an alert rings. */
  foremen(): string {
    return [...this.register().people.values()]
      .filter(({ roles }) => roles.includes('foreman'))
      .flatMap(({ id }) => this.accountOf(id) ?? [])
      .map((account) => `<@${account}>`)
      .join(' ');
  }

  /** Learns the names of everybody in the register before they speak. */
  async learn(): Promise<void> {
    const users = [...this.register().accounts.keys()].flatMap((account) =>
      account.startsWith(`${VIA}:`) ? [account.slice(VIA.length + 1)] : [],
    );
    for (const user of users) await this.ask(user);
  }

  private async ask(user: string): Promise<void> {
    if (this.without || this.asking.has(user)) return;
    this.asking.add(user);
    try {
      const read = USER.safeParse(await this.web.call('users.info', { user }));
      if (!read.success) return;
      const { profile, real_name, is_restricted, is_ultra_restricted, is_stranger } = read.data.user;
      const name = profile?.display_name || profile?.real_name || real_name || null;
      const guest = is_restricted === true || is_ultra_restricted === true || is_stranger === true;
      this.users.set(user, { name, guest, at: this.now() });
    } catch (error) {
      if (!(error instanceof WebFault) || error.code !== 'refused') return;
      this.without ||= ['unknown_method', 'missing_scope'].includes(error.says);
      // Nobody there knows them: that is asked again in an hour, not with every message.
      this.users.set(user, { name: null, guest: false, at: this.now() });
    } finally {
      this.asking.delete(user);
    }
  }
}
