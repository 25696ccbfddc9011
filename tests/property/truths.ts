import type { Step } from '../../src/flow/flow.js';

/** What the model has worked out of a fact. */
export type Is = (fact: string) => 'stands' | 'running' | 'doubt' | 'gone';

type Known = (fact: string) => boolean;

/** A step that makes (+) or ends (-) this ... */
type Act = `+${string}` | `-${string}`;

/**
 * What has to be so of car and pack before an act, and after it, whatever the flow says. Written down from the notes of the
 * trade and not from the flows, so that a need or an end that a flow forgets is seen. A fact stands; `~` only is not gone,
 * `!` is gone, `^` does not stand.
 */
const BEFORE: readonly (readonly [Act, readonly string[]])[] = [
  ['+lock-on', ['lv-off', 'loop-open', 'sources-off']],
  ['+test-open', ['lock-on', 'waited', 'standby-here', 'gear-ready', 'area-barred']],
  ['+bus-dead', ['test-open', 'lock-on', 'waited', 'standby-here', 'gear-ready']],
  ['+plugs-apart', ['~bus-dead', 'lock-on', 'standby-here', 'gear-ready', 'car-steady', 'pack-sound']],
  ['+sockets-nil', ['plugs-apart', 'lock-on', 'standby-here', 'gear-ready']],
  ['+lines-free', ['sockets-nil', 'plugs-apart']],
  ['+coolant-open', ['~may-open']],
  ['+coolant-apart', ['lines-free', 'coolant-open', 'car-steady']],
  ['+pack-clear', ['pack-carried', 'car-steady', 'balance-ok', 'standby-here', 'gear-ready']],
  ['-pack-held', ['plugs-apart', 'lines-free', 'coolant-still', '~coolant-open', '^coolant-joined']],
  ['+pack-moving', ['pack-carried', '~pack-clear', 'car-steady', 'standby-here', '^coolant-joined']],
  ['+pack-moving', ['~plugs-apart', '~lines-free', '~coolant-open']],
  ['+pack-off', ['~pack-moving']],
  ['+pack-held', ['~pack-moving', '~cover-on', '~cover-tight']],
  ['+live-entry', ['lock-on', 'standby-here', 'gear-ready', 'permit', 'car-steady', 'area-barred', 'dry-ok']],
  ['+live-exposed', ['live-entry']],
  ['+trigger-off', ['live-entry', 'pyro-quiet', 'path-open', 'neighbours-covered']],
  ['+fuse-out', ['live-entry', 'trigger-off', 'path-open']],
  ['+fuse-in', ['live-entry', '~gap-nil', '~fuse-out', 'trigger-off']],
  ['+trigger-on', ['live-entry', 'joints-tight', 'fuse-in']],
  ['+bead-wet', ['~closed-ok', 'plan-fits', 'inside-right', '~faces-clean']],
  ['+cover-set', ['bead-wet', 'bead-open']],
  ['+cover-tight', ['cover-on', 'cover-tight-down', 'bead-whole', 'cured-test', 'bead-firm']],
  ['+bonded', ['~pack-held']],
  ['+coolant-joined', ['~coolant-open']],
  ['-lines-free', ['bonded', 'pack-held']],
  ['+coolant-full', ['coolant-drawn', 'coolant-joined', 'coolant-open']],
  ['+may-insulate', ['lock-on', 'work-finished', 'standby-here', 'gear-ready', 'area-barred']],
  // What counts is measured with the coolant in.
  ['+insulation-ok', ['cover-on', '~may-insulate', 'lock-on', 'standby-here', '~coolant-tight']],
  ['-plugs-apart', ['insulation-ok', 'lock-on', 'pack-held', 'bonded', 'coolant-tight', '!sockets-nil']],
  ['+may-power', ['insulation-ok', 'work-finished', 'cover-on', 'plugs-joined', 'bonded', 'pack-held']],
  [
    '+may-power',
    ['coolant-tight', 'standby-here', '!plugs-apart', '!pack-off', '!live-exposed', '!test-open'],
  ],
  ['+may-power', ['!trigger-off', '!fuse-out', '!pyro-loose', '!lines-free', '!pack-open', '!pack-moving']],
  [
    '+powered',
    ['lv-on', 'coolant-bled', 'coolant-even', 'coolant-tight', 'type-known', '!lock-on', '!coolant-open'],
  ],
  ['+coolant-even', ['coolant-bled', 'coolant-kept']],
  ['+car-raised', ['balance-ok', '~may-raise', 'pads-set']],
  ['-car-raised', ['~may-lower', 'trays-on', '!pack-off', '!plugs-apart', '!pack-carried', '!live-exposed']],
];

const AFTER: readonly (readonly [Act, readonly string[]])[] = [
  ['+car-raised', ['^may-raise']],
  ['-car-raised', ['^may-lower', '^car-steady']],
  ['+test-open', ['^live-entry']],
  ['+plugs-apart', ['^bus-dead', '^plugs-joined', '!sockets-nil']],
  ['+coolant-open', ['^may-open']],
  ['+coolant-apart', ['^coolant-joined']],
  ['+pack-moving', ['^pack-clear']],
  ['+pack-off', ['!pack-moving', '!pack-carried', '^pack-held', '^car-steady']],
  ['+pack-held', ['!pack-moving', '!pack-off']],
  ['+live-exposed', ['^cover-on', '^cover-tight', '^bead-whole', '^cover-tight-down']],
  ['+fuse-out', ['^joints-tight', '^fuse-in']],
  ['+bead-wet', ['^faces-clean', '^closed-ok']],
  ['+cover-tight-down', ['!bead-wet', '^live-entry']],
  ['+insulation-ok', ['^may-insulate', '^bus-dead', '^sockets-nil']],
  ['+may-power', ['^lock-on']],
  ['+lv-on', ['^may-power', '!lv-off', '!loop-open', '!lock-on']],
  ['+powered', ['^held-unready']],
];

/** The car side is proved dead, or its plugs are apart and their sockets proved. */
const NIL = ['open-pack', 'pyro', 'entry'];

/** What a flow does not speak of, such as the balance of a car whose wheels are changed, is no matter of it. */
function holds(word: string, is: Is, known: Known): boolean {
  const fact = word.slice(1);
  if (word.startsWith('~')) return is(fact) !== 'gone';
  if (word.startsWith('!')) return is(fact) === 'gone';
  if (word.startsWith('^')) return is(fact) !== 'stands';
  return is(word) === 'stands' || !known(word);
}

const does = (step: Step, act: Act) => (act.startsWith('+') ? step.makes : step.ends).includes(act.slice(1));

function broken(table: typeof BEFORE, step: Step, is: Is, known: Known): string[] {
  return table
    .filter(([act]) => does(step, act))
    .flatMap(([act, words]) =>
      words.filter((word) => !holds(word, is, known)).map((word) => `${step.id} did ${act} against ${word}`),
    );
}

/** A trial does by one step of its own what the real flow does by many. */
const real = (step: Step) => !step.stage.startsWith('trial-');

/** What was not so when the last answer of a step was taken. */
export function wrongBefore(step: Step, is: Is, known: Known): string[] {
  if (!real(step)) return [];
  const nil =
    is('bus-dead') === 'stands' || (is('plugs-apart') === 'stands' && is('sockets-nil') === 'stands');
  const live = NIL.includes(step.hazard) && !nil ? [`${step.id} went into the pack with nothing proved`] : [];
  // A hatch job finds the pack as it was: one look makes all that the other way makes by hand.
  const asFound = step.makes.includes('pack-held') && step.makes.includes('coolant-tight');
  return asFound ? live : [...live, ...broken(BEFORE, step, is, known)];
}

/** What is not so after a step was completed. */
export function wrongAfter(step: Step, is: Is, known: Known): string[] {
  return real(step) ? broken(AFTER, step, is, known) : [];
}
