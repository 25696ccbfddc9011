import { describe, expect, test } from 'vitest';
import type { Post, Thread } from '../../src/talk/post.js';
import { say } from '../../src/talk/say.js';
import { Bench, printed } from './say-bench.js';
import { benchFlow } from './say-flow.js';

const flow = benchFlow();

/** The bench job with a value of the vehicle missing. */
function withoutPlace(): Bench {
  return new Bench(flow, 'mara', {}, ['vehicle.battery-place']);
}

type Told = {
  readonly claim: string;
  readonly to: Thread;
  readonly after: (b: Bench) => readonly Post[];
  readonly text: string;
};

/** Words are part of the work here: each of these is read with gloves on. Times are UTC, the job begins at 08:00. */
const TOLD: readonly Told[] = [
  {
    claim: 'a choice is a question with its options as buttons and as numbers',
    to: 'bay',
    after: (b) => b.said.slice(1, 2).map(({ post }) => post),
    text: ['Inside: dry or wet?', '1 dry, 2 wet'].join('\n'),
  },
  {
    claim: 'an assumed unit is said before the reading is judged',
    to: 'bay',
    after: (b) => {
      b.untilStep('gap');
      return b.says('mara', '0.3');
    },
    text: [
      '0.3 V, unit assumed. In limits: at most 5 V.',
      'Wrench: box bolts, all passes.',
      'Wrench W1, dial 6.4 N·m, then 8 N·m',
      '2 passes 80/100 %, each: bolts 1 6 3 8 5 10 2 7 4 9',
      'OK when done.',
    ].join('\n'),
  },
  {
    claim: 'a dead test is echoed in its order, and the second person is asked by name',
    to: 'bay',
    after: (b) => {
      b.untilStep('dead');
      return b.says('mara', '400 0 0 0 400 V');
    },
    text: [
      'Prove 400 V, + to - 0 V, + to body 0 V, - to body 0 V, prove 400 V.',
      'All five good.',
      'Tamsin Roake: your own look. Watched all five readings? Answer SEEN.',
    ].join('\n'),
  },
  {
    claim: 'the word is asked with the declaration that it seals',
    to: 'bay',
    after: (b) => {
      b.untilStep('dead');
      b.says('mara', '400 0 0 0 400 V');
      return b.says('tamsin', 'seen');
    },
    text: [
      'Own look: seen.',
      'Gate: Prove the car side dead. The pack inside stays live.',
      'Type or say: LANTERN',
    ].join('\n'),
  },
  {
    claim: 'what was proved is said with tester, people and the warning that goes with it',
    to: 'bay',
    after: (b) => {
      b.untilStep('dead');
      b.says('mara', '400 0 0 0 400 V');
      b.says('tamsin', 'seen');
      return b.says('mara', 'LANTERN');
    },
    text: [
      'Dead on the car side: proved 08:16, tester T1, Mara Tillet, seen by Tamsin Roake. PACK INSIDE STILL LIVE.',
      'Insulated socket: box open.',
      'OK when done.',
    ].join('\n'),
  },
  {
    claim: 'habit passes no gate, and the word is said again',
    to: 'bay',
    after: (b) => {
      b.untilStep('dead');
      b.says('mara', '400 0 0 0 400 V');
      b.says('tamsin', 'seen');
      return b.says('mara', 'ok');
    },
    text: ['That word passes no gate.', 'Type or say it alone: LANTERN'].join('\n'),
  },
  {
    claim: 'four readings are refused, never guessed',
    to: 'bay',
    after: (b) => {
      b.untilStep('dead');
      return b.says('mara', '400 0 0 400 V');
    },
    text: ['I heard 4 numbers, 5 are asked.', 'All 5 again in one message.'].join('\n'),
  },
  {
    claim: 'the holder is no witness of their own',
    to: 'bay',
    after: (b) => {
      b.untilStep('dead');
      b.says('mara', '400 0 0 0 400 V');
      return b.says('mara', 'seen');
    },
    text: ['Nobody is their own witness.', 'A second person, named as standby, says it.'].join('\n'),
  },
  {
    claim: 'volts between dead and hazard are tested again, all five',
    to: 'bay',
    after: (b) => {
      b.untilStep('dead');
      return b.says('mara', '400 22 0 0 400 V');
    },
    text: [
      'Prove 400 V, + to - 22 V, + to body 0 V, - to body 0 V, prove 400 V.',
      'Not taken: not dead yet. Hands off, wait, then test again. Plus minus 22 V, at most 5 V.',
      'Afresh: Gate: Prove the car side dead. The pack inside stays live.',
      'Body probe on bare metal.',
      'Five numbers and the unit in one message:',
      '(prove, + to -, + to body, - to body, prove)',
    ].join('\n'),
  },
  {
    claim: 'a live reading is a stop card with the judgement',
    to: 'bay',
    after: (b) => {
      b.untilStep('dead');
      return b.says('mara', '400 386 0 0 400 V');
    },
    text: [
      'STOP',
      'Probes off. Step back. Treat everything as live.',
      'Rescue hook.',
      'Emergency (demo number): 000',
      'Works first aid (demo): ext. 11',
      'Foreman on call (demo): ext. 20',
      'The foreman is called. Nothing goes on before the release.',
      'Prove 400 V, + to - 386 V, + to body 0 V, - to body 0 V, prove 400 V.',
      'STOP: more than 60 V: live. Hands off, step back. Plus minus 386 V, at most 5 V.',
    ].join('\n'),
  },
  {
    claim: 'a live reading calls the foreman with the reading',
    to: 'foreman',
    after: (b) => {
      b.untilStep('dead');
      return b.says('mara', '400 386 0 0 400 V');
    },
    text: [
      'Bay 2, DEMO-1, Mara Tillet',
      'STOP at 08:16, called by Mara Tillet.',
      'STOP: more than 60 V: live. Hands off, step back. Plus minus 386 V, at most 5 V.',
      'Step: Prove the car side dead (live parts).',
      'Open: loop open, battery lead off, own lock on.',
      'Do: go there now. People first.',
      'When it may go on, in the bay thread: release REASON',
    ].join('\n'),
  },
  {
    claim: 'a tester that fails its second proving is told to every bay',
    to: 'shop',
    after: (b) => {
      b.untilStep('dead');
      return b.says('mara', '400 0 0 0 210 V');
    },
    text: [
      'Bay 2, DEMO-1, Mara Tillet',
      'Tester T1 failed its second proving at 08:16.',
      'What it proved today is in doubt, in every bay.',
      'Do: hands off where it was used. Put it away, tag it, prove again with another.',
    ].join('\n'),
  },
  {
    claim: 'bolts come with wrench, dial, passes and order',
    to: 'bay',
    after: (b) => {
      b.untilStep('gap');
      return b.says('mara', '0 V');
    },
    text: [
      '0 V. In limits: at most 5 V.',
      'Wrench: box bolts, all passes.',
      'Wrench W1, dial 6.4 N·m, then 8 N·m',
      '2 passes 80/100 %, each: bolts 1 6 3 8 5 10 2 7 4 9',
      'OK when done.',
    ].join('\n'),
  },
  {
    claim: "STOP brings the card of the step's hazard first",
    to: 'bay',
    after: (b) => {
      b.untilStep('box-off');
      return b.says('wilf', 'stop');
    },
    text: [
      'STOP',
      'Probes off. Step back. Treat everything as live.',
      'Rescue hook.',
      'Emergency (demo number): 000',
      'Works first aid (demo): ext. 11',
      'Foreman on call (demo): ext. 20',
      'The foreman is called. Nothing goes on before the release.',
    ].join('\n'),
  },
  {
    claim: 'smoke sends everybody out before the card of the step',
    to: 'bay',
    after: (b) => {
      b.untilStep('box-off');
      return b.says('tamsin', 'smoke');
    },
    text: [
      'STOP: Smoke',
      'Everybody out. Shout, alarm. Nobody goes back in.',
      'Probes off. Step back. Treat everything as live.',
      'Rescue hook.',
      'Emergency (demo number): 000',
      'Works first aid (demo): ext. 11',
      'Foreman on call (demo): ext. 20',
      'The foreman is called. Nothing goes on before the release.',
    ].join('\n'),
  },
  {
    claim: 'smoke is told to every bay',
    to: 'shop',
    after: (b) => {
      b.untilStep('box-off');
      return b.says('tamsin', 'smoke');
    },
    text: [
      'Bay 2, DEMO-1, Mara Tillet',
      'Smoke in Bay 2, 08:19.',
      'Everybody: hands off, make still, step back. Be ready to leave.',
      'Emergency (demo number): 000',
      'Works first aid (demo): ext. 11',
      'Foreman on call (demo): ext. 20',
    ].join('\n'),
  },
  {
    claim: 'a stop tells the foreman who, where and how to answer',
    to: 'foreman',
    after: (b) => {
      b.untilStep('box-off');
      return b.says('tamsin', 'smoke');
    },
    text: [
      'Bay 2, DEMO-1, Mara Tillet',
      'STOP at 08:19, called by Tamsin Roake: Smoke.',
      'Step: Insulated socket: box open (live parts).',
      'Open: loop open, battery lead off, own lock on. Perhaps open: box open.',
      'Do: go there now. People first.',
      'When it may go on, in the bay thread: release REASON',
    ].join('\n'),
  },
  {
    claim: 'a release says who, why, and what is looked at first',
    to: 'bay',
    after: (b) => {
      b.untilStep('box-off');
      b.says('wilf', 'stop');
      return b.says('orla', 'release false alarm');
    },
    text: [
      'Released by Orla Fenwick: false alarm.',
      'States are looked at first, proofs made again.',
      'Look at all of these:',
      '- Loop open and tagged?',
      '- Battery lead off and covered?',
      '- Your lock on, key in your pocket?',
      'All so? Yes or no.',
    ].join('\n'),
  },
  {
    claim: 'no to several looks asks which, numbered',
    to: 'bay',
    after: (b) => {
      b.untilStep('box-off');
      b.says('wilf', 'stop');
      b.says('orla', 'release false alarm');
      return b.says('mara', 'no');
    },
    text: ['Which one is not so? Its number:', '1 loop open', '2 battery lead off', '3 own lock on'].join(
      '\n',
    ),
  },
  {
    claim: 'a standby who goes away ends the work: hands out, why, what stands, how many steps',
    to: 'bay',
    after: (b) => {
      b.untilStep('gap');
      return b.says('tamsin', 'away');
    },
    text: [
      'Hands out. Step back behind the barrier.',
      'In doubt (somebody away): standby here, dead on the car side.',
      'Still stands: gear tried and on, box open.',
      '2 steps, then on with: Tester: across the gap.',
      'Again: Who stands by?',
      'Say the name.',
    ].join('\n'),
  },
  {
    claim: 'a reconnected battery is hands out first, then all that falls with it',
    to: 'bay',
    after: (b) => {
      b.untilStep('gap');
      return b.says('wilf', 'reconnected', { heard: 'undone', facts: ['lead-off'] });
    },
    text: [
      'Hands out. Step back behind the barrier.',
      'Undone, said by Wilf Harrow: battery lead off.',
      'Falls with it: capacitors drained, own lock on, dead on the car side.',
      'Still stands: gear tried and on, standby here, box open.',
      '3 steps, then on with: Tester: across the gap.',
      'Again: Spanner: battery lead off at under the bonnet, left.',
      'OK when done.',
    ].join('\n'),
  },
  {
    claim: 'a pause says how it ends',
    to: 'bay',
    after: (b) => {
      b.untilStep('loop');
      return b.says('mara', 'pause');
    },
    text: ['Paused. RESUME goes on. A long pause means looks and proofs again.'].join('\n'),
  },
  {
    claim: 'a problem is a hold with the words that were said',
    to: 'bay',
    after: (b) => {
      b.untilStep('box-off');
      return b.says('mara', 'problem bolt sheared');
    },
    text: [
      'Hands out. Step back behind the barrier.',
      'On hold: bolt sheared. By Mara Tillet.',
      'Leave it as it is, step back. The foreman is called.',
    ].join('\n'),
  },
  {
    claim: 'a hold asks the foreman to look and to release',
    to: 'foreman',
    after: (b) => {
      b.untilStep('box-off');
      return b.says('mara', 'problem bolt sheared');
    },
    text: [
      'Bay 2, DEMO-1, Mara Tillet',
      'Hold at 08:19, by Mara Tillet: bolt sheared.',
      'Open: loop open, battery lead off, own lock on. Perhaps open: box open.',
      'Do: go and look. Then in the bay thread: release REASON',
    ].join('\n'),
  },
  {
    claim: "a wet pack is held in the flow's own words",
    to: 'bay',
    after: (b) => {
      return b.says('mara', 'wet');
    },
    text: [
      'Wet.',
      'On hold: Wet inside: keep away, call the foreman. By Mara Tillet.',
      'Leave it as it is, step back. The foreman is called.',
    ].join('\n'),
  },
  {
    claim: 'a wait says its honest end and where else to look',
    to: 'bay',
    after: (b) => {
      b.untilStep('lock');
      return b.says('mara', 'DOLPHIN');
    },
    text: [
      'Own lock on: 08:06, Mara Tillet.',
      'Capacitors drain. Nobody touches lead or loop.',
      'Waiting, not before 08:16: capacitors drained.',
      'LIST says what else can be done.',
    ].join('\n'),
  },
  {
    claim: 'list says what else can be done while it waits',
    to: 'bay',
    after: (b) => {
      b.until((job) => job.waitingFor?.step === 'cure');
      return b.says('mara', 'list');
    },
    text: [
      'Waiting, not before 10:22. Meanwhile:',
      '- Bench cleaned.',
      '- Paperwork.',
      'Can be got ready; asked in its turn:',
      '- Labels on',
    ].join('\n'),
  },
  {
    claim: 'where fits on a screen',
    to: 'bay',
    after: (b) => {
      b.untilStep('gap');
      return b.says('orla', 'where');
    },
    text: [
      'Bay 2, Mara Tillet holds it. Standby: Tamsin Roake.',
      'Step since 08:20: Tester: across the gap.',
      'Open: loop open, battery lead off, own lock on (Mara Tillet), box open.',
      'Stands: standby here (08:02), gear tried and on (08:04), dead on the car side (08:19). PACK INSIDE STILL LIVE.',
      'Next: Wrench: box bolts, all passes.',
    ].join('\n'),
  },
  {
    claim: 'where says who holds, who has the lock and what runs while it waits',
    to: 'bay',
    after: (b) => {
      b.until((job) => job.waitingFor?.step === 'cure');
      return b.says('orla', 'where');
    },
    text: [
      'Bay 2, Mara Tillet holds it. Standby: Tamsin Roake.',
      'Step: It cures.',
      'Open: loop open, battery lead off, own lock on (Mara Tillet).',
      'Stands: standby here (08:02), gear tried and on (08:04), dead on the car side (08:19). PACK INSIDE STILL LIVE.',
      'Sealant cured: not before 10:22.',
      'Next: Labels on.',
    ].join('\n'),
  },
  {
    claim: 'why says what the step needs and makes',
    to: 'bay',
    after: (b) => {
      b.untilStep('dead');
      return b.says('mara', 'why');
    },
    text: [
      'Prove the car side dead.',
      'Needs: capacitors drained, own lock on, gear tried and on, standby here.',
      'Makes: dead on the car side.',
      'Hazard: live parts, level 2S.',
      'Stands now: capacitors drained, own lock on, gear tried and on, standby here.',
    ].join('\n'),
  },
  {
    claim: 'help begins with what to say when somebody is hurt',
    to: 'bay',
    after: (b) => {
      return b.says('mara', 'help');
    },
    text: [
      'Hurt or smoke? Say STOP.',
      'Answer the question: OK, PROBLEM and what, the number with its unit.',
      'WHERE the job stands. WHY this step. LIST what else can be done.',
      'PAUSE, RESUME. HOLD and why. NOTE and text. NUMBERS to call.',
      'Wrong answer: "no, 30", or CORRECT.',
      'AWAY and HERE for the standby. STANDBY NAME for another one.',
      'HAND OVER NAME, then TAKE. PARK leaves it for the night.',
      'In doubt: stop, and call the foreman.',
    ].join('\n'),
  },
  {
    claim: "numbers are the workshop's own",
    to: 'bay',
    after: (b) => {
      return b.says('mara', 'numbers');
    },
    text: [
      'Emergency (demo number): 000',
      'Works first aid (demo): ext. 11',
      'Foreman on call (demo): ext. 20',
    ].join('\n'),
  },
  {
    claim: 'a job is handed over only when it is taken',
    to: 'bay',
    after: (b) => {
      b.untilStep('box-off');
      return b.says('mara', 'hand over Jory');
    },
    text: [
      'Jory Pask: Bay 2 is handed to you by Mara Tillet. Answer TAKE.',
      'Nothing moves until then. RESUME keeps it with Mara Tillet.',
    ].join('\n'),
  },
  {
    claim: 'who takes over puts the own lock on first',
    to: 'bay',
    after: (b) => {
      b.untilStep('box-off');
      b.says('mara', 'hand over Jory');
      return b.says('jory', 'take');
    },
    text: [
      'Jory Pask holds the job now, taken over from Mara Tillet.',
      'Jory Pask: own lock on first. Mara Tillet: yours comes off after that.',
      'States are looked at, proofs made again.',
      'Look at all of these:',
      '- Loop open and tagged?',
      '- Battery lead off and covered?',
      'All so? Yes or no.',
    ].join('\n'),
  },
  {
    claim: 'the old lock comes off after the new one is on',
    to: 'bay',
    after: (b) => {
      b.untilStep('box-off');
      b.says('mara', 'hand over Jory');
      b.says('jory', 'take');
      b.until((job) => job.oldLock !== null && job.asked === null);
      return b.said.slice(-2).map(({ post }) => post);
    },
    text: [
      'Own lock on: 08:24, Jory Pask.',
      'Mara Tillet: new lock is on. Take yours off, then say LOCK OFF.',
    ].join('\n'),
  },
  {
    claim: 'park goes through its own steps and says what stays open',
    to: 'bay',
    after: (b) => {
      b.untilStep('box-off');
      b.says('mara', 'park');
      b.says('mara', 'Orla 0123');
      return b.says('mara', 'ok');
    },
    text: [
      'Parked. Left open: loop open, battery lead off, own lock on. Perhaps open: box open.',
      'Overnight:',
      'called out: Orla 0123',
      'RESUME goes on, with a look at every state first.',
    ].join('\n'),
  },
  {
    claim: 'the foreman hears what a parked job has open and who is called',
    to: 'foreman',
    after: (b) => {
      b.untilStep('box-off');
      b.says('mara', 'park');
      b.says('mara', 'Orla 0123');
      return b.says('mara', 'ok');
    },
    text: [
      'Bay 2, DEMO-1, Mara Tillet',
      'Parked at 08:19.',
      'Open: loop open, battery lead off, own lock on. Perhaps open: box open.',
      'called out: Orla 0123',
      'Do: see that the bay is barred, and that somebody is named for the night.',
    ].join('\n'),
  },
  {
    claim: 'catch-up names the step, and both look at the car',
    to: 'bay',
    after: (b) => {
      b.untilStep('lead');
      return b.says('mara', 'catch up box-off');
    },
    text: [
      'Mara Tillet says the job has come to: Insulated socket: box open.',
      'Foreman: look at the car. If it is so, answer AGREE.',
    ].join('\n'),
  },
  {
    claim: 'what was passed over is not witnessed by the bot',
    to: 'bay',
    after: (b) => {
      b.untilStep('lead');
      b.says('mara', 'catch up box-off');
      return b.says('orla', 'agree');
    },
    text: [
      'Caught up to: Insulated socket: box open. Agreed by Mara Tillet and Orla Fenwick.',
      '4 steps passed, 2 of them gates: not witnessed by the bot.',
      'Every state is looked at, every proof made again.',
      'Look at all of these:',
      '- Loop open and tagged?',
      '- Battery lead off and covered?',
      '- Your lock on, key in your pocket?',
      'All so? Yes or no.',
    ].join('\n'),
  },
  {
    claim: 'a standby is asked by name',
    to: 'bay',
    after: (b) => {
      b.untilStep('box-off');
      return b.later(15);
    },
    text: ['Tamsin Roake: still here? Answer HERE.'].join('\n'),
  },
  {
    claim: 'a standby who does not answer brings the foreman',
    to: 'foreman',
    after: (b) => {
      b.untilStep('gap');
      return b.later(25);
    },
    text: [
      'Bay 2, DEMO-1, Mara Tillet',
      'Standby Tamsin Roake did not answer, 08:38. Live parts are open.',
      'Open: loop open, battery lead off, own lock on, box open.',
      'Do: send somebody there now. Name another in the bay thread: standby NAME',
    ].join('\n'),
  },
  {
    claim: 'smoke in another bay is a card here',
    to: 'bay',
    after: (b) => {
      b.untilStep('box-off');
      return b.says('desk', { is: 'notice', notice: { of: 'danger', bay: '1', danger: 'smoke' } });
    },
    text: [
      'Bay 1: Smoke',
      'Hands off, make still, step back. Be ready to leave.',
      'Shout it on. Danger here too: say STOP.',
      'Emergency (demo number): 000',
      'Works first aid (demo): ext. 11',
      'Foreman on call (demo): ext. 20',
    ].join('\n'),
  },
  {
    claim: 'a value corrected in another bay is put to the foreman, with what to type',
    to: 'foreman',
    after: (b) => {
      b.untilStep('box-off');
      return b.says('desk', {
        is: 'notice',
        notice: { of: 'value-changed', key: 'vehicle.cover-torque', value: null, bay: '1' },
      });
    },
    text: [
      'Bay 2, DEMO-1, Mara Tillet',
      'Cover torque (vehicle) was changed in Bay 1. This job has 8 N·m.',
      'Do: look it up, never guess. In the bay thread type:',
      'adopt cover-torque VALUE SOURCE',
      'Value with its unit, then where it stands, as in: 10 min manual 4.2',
    ].join('\n'),
  },
  {
    claim: 'a missing value says which step waits and what to type',
    to: 'foreman',
    after: () => {
      const c = withoutPlace();
      c.untilStep('loop');
      return c.says('mara', 'ok');
    },
    text: [
      'Bay 2, DEMO-1, Mara Tillet',
      'Value missing: battery place (vehicle). Waits for it: Spanner: battery lead off at (battery place?).',
      'Open: loop open.',
      'Do: look it up, never guess. In the bay thread type:',
      'value battery-place VALUE SOURCE',
      'Value with its unit, then where it stands, as in: 10 min manual 4.2',
    ].join('\n'),
  },
  {
    claim: 'a missing value stops the bay until it is there',
    to: 'bay',
    after: () => {
      const c = withoutPlace();
      c.untilStep('loop');
      return c.says('mara', 'ok');
    },
    text: [
      'Runs: not before 08:14: capacitors drained.',
      'A value is missing: battery place (vehicle).',
      'The foreman is asked. It waits: Spanner: battery lead off at (battery place?).',
    ].join('\n'),
  },
  {
    claim: 'a value entered goes straight into the step',
    to: 'bay',
    after: () => {
      const c = withoutPlace();
      c.untilStep('loop');
      c.says('mara', 'ok');
      return c.says('orla', 'value battery-place bonnet manual 1.2');
    },
    text: [
      'Entered by Orla Fenwick: battery place (vehicle) bonnet, manual 1.2.',
      'Spanner: battery lead off at bonnet.',
      'OK when done.',
    ].join('\n'),
  },
  {
    claim: 'the lock of whoever handed over is said to be off by its owner',
    to: 'bay',
    after: (b) => {
      b.untilStep('box-off');
      b.says('mara', 'hand over Jory');
      b.says('jory', 'take');
      b.until((job) => job.oldLock !== null && job.asked === null);
      return b.says('mara', 'lock off');
    },
    text: [
      'Lock of Mara Tillet off.',
      '1 step opens again: dead on the car side (handover).',
      'Still stands: gear tried and on, standby here.',
      '1 step, then on with: Insulated socket: box open.',
      'Again: Gate: Prove the car side dead. The pack inside stays live.',
      'Body probe on bare metal.',
      'Five numbers and the unit in one message:',
      '(prove, + to -, + to body, - to body, prove)',
    ].join('\n'),
  },
  {
    claim: 'a stale answer gets the question once more',
    to: 'bay',
    after: (b) => {
      return b.says('mara', { is: 'tap', says: 'dry', visit: '0' }, { heard: 'choice', option: 'dry' });
    },
    text: [
      'Said before the question below was seen. Once more, please.',
      'Inside: dry or wet?',
      '1 dry, 2 wet',
    ].join('\n'),
  },
  {
    claim: 'a gate left alone is asked afresh, all of it',
    to: 'bay',
    after: (b) => {
      b.untilStep('dead');
      b.says('mara', '400 0 0 0 400 V');
      const silent = b.later(16);
      expect(silent.flatMap(({ lines }) => lines)).toHaveLength(1);
      return b.says('tamsin', 'here');
    },
    text: [
      'Afresh: Gate: Prove the car side dead. The pack inside stays live.',
      'Body probe on bare metal.',
      'Five numbers and the unit in one message:',
      '(prove, + to -, + to body, - to body, prove)',
    ].join('\n'),
  },
  {
    claim: 'a silence is warned of before the proof falls',
    to: 'bay',
    after: (b) => {
      b.untilStep('box-off');
      return say(b.job, flow, [
        { type: 'still-there-asked', fact: 'bus-dead', lapsesAt: b.now + 300_000, at: b.now },
      ]);
    },
    text: [
      'Mara Tillet: still there? Say HERE before 08:24.',
      'Without a word falls: dead on the car side.',
    ].join('\n'),
  },
  {
    claim: 'called off is left as for the night, and ends with what is open',
    to: 'bay',
    after: (b) => {
      b.untilStep('box-off');
      b.says('orla', 'call off car sold');
      b.says('mara', 'Orla 0123');
      return b.says('mara', 'ok');
    },
    text: [
      'Called off: Bench job. Job 2603-001, DEMO-1, 08:19, Mara Tillet.',
      'LEFT OPEN: loop open, battery lead off, own lock on, box open.',
      'Gear: gloves G1, tester T1, proving source PS1, wrench W1, wrench W2, wrench W3.',
      'The record says what was proved, by whom, with what, and what was not.',
    ].join('\n'),
  },
  {
    claim: 'out of date gear is refused with what would do',
    to: 'bay',
    after: (b) => {
      b.untilStep('gear');
      return b.says('mara', 'G3 T1 PS1 W1');
    },
    text: ['Gloves G3: test out of date since 2026-02-11.', 'Would do: G1, G2.'].join('\n'),
  },
  {
    claim: 'a correction opens the step again, and no blame with it',
    to: 'bay',
    after: (b) => {
      b.untilStep('bolts');
      return b.says('mara', 'correct gap');
    },
    text: [
      '1 step opens again: correction.',
      'Still stands: dead on the car side, gear tried and on, standby here. PACK INSIDE STILL LIVE.',
      'Look: Box open, nobody near it? Yes or no.',
    ].join('\n'),
  },
  {
    claim: 'air told while nothing asks for it is logged',
    to: 'bay',
    after: (b) => {
      b.until((job) => job.waitingFor?.step === 'cure');
      return b.says('mara', 'air 12 40');
    },
    text: ['Air: 12 °C, 40 %. Logged.'].join('\n'),
  },
  {
    claim: 'a note is kept without a word more',
    to: 'bay',
    after: (b) => {
      return b.says('mara', 'note scratch on the sill');
    },
    text: ['Noted, 08:00.'].join('\n'),
  },
  {
    claim: 'a job that is done says what is left open and where the proof stands',
    to: 'bay',
    after: (b) => {
      b.untilStep('power');
      return b.says('mara', 'ok');
    },
    text: [
      'Done: Bench job. Job 2603-001, DEMO-1, 10:24, Mara Tillet.',
      'Nothing is left open.',
      'Part serial X4471-11.',
      'Gear: gloves G1, tester T1, proving source PS1, wrench W1, wrench W2, wrench W3.',
      'The record says what was proved, by whom, with what, and what was not.',
    ].join('\n'),
  },
];

describe('what the bay, the foreman and the shop are told', () => {
  test.each(TOLD)('$claim', ({ to, after, text }) => {
    const posts = after(new Bench(flow));
    expect(printed(posts.find((post) => post.to === to))).toBe(text);
  });
});
