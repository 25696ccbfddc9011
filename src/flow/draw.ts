import type { Condition, Need } from '../rule/rules.js';
import type { Flow, Step } from './flow.js';
import { openedFact } from './route.js';

/**
 * The route map of a flow for people to look over: a line of steps per stage, then each step with what it
 * needs, makes and ends. Plain text, at most about 110 characters wide, the same for the same flow.
 */
export function drawFlow(flow: Flow): string {
  const lines = [`${flow.title} (${flow.id})`, ''];
  if (flow.given.length > 0) lines.push(`given: ${flow.given.join(', ')}`, '');
  for (const part of partsOf(flow.steps)) {
    lines.push(part.title, ...wrap(part.steps.map(short)), '');
  }
  for (const step of flow.steps) lines.push(...drawStep(step));
  if (flow.leaves.length > 0) lines.push('', `left open at the end: ${flow.leaves.join(', ')}`);
  return `${lines.join('\n').trimEnd()}\n`;
}

/** Neighbours of one stage on one route. */
function partsOf(steps: readonly Step[]): { readonly title: string; readonly steps: Step[] }[] {
  const parts: { title: string; steps: Step[] }[] = [];
  for (const step of steps) {
    const title = step.route === 'park' ? `parking: ${step.stage}` : step.stage;
    const last = parts.at(-1);
    if (last?.title === title) last.steps.push(step);
    else parts.push({ title, steps: [step] });
  }
  return parts;
}

const MARKS: Readonly<Record<Step['kind'], (name: string) => string>> = {
  do: (name) => name,
  gate: (name) => `[${name.toUpperCase()}]`,
  measure: (name) => `${name}=`,
  tighten: (name) => `${name}*`,
  wait: (name) => `(${name})`,
  watch: (name) => `${name}~`,
  choose: (name) => `${name}?`,
  record: (name) => `${name}:`,
};

function short(step: Step): string {
  const name = MARKS[step.kind](step.id.slice(step.id.lastIndexOf('/') + 1));
  return step.when.length === 0 ? name : `{${name}}`;
}

function wrap(names: readonly string[]): string[] {
  const lines: string[] = [];
  let line = ' ';
  for (const [index, name] of names.entries()) {
    const arrow = index === 0 ? '' : '-> ';
    if (line.length + arrow.length + name.length > 100) {
      lines.push(line);
      line = '   ';
    }
    line += ` ${arrow}${name}`;
  }
  return [...lines, line];
}

function drawStep(step: Step): string[] {
  const lines = [`${step.id}  ${step.kind}${step.hazard === 'none' ? '' : `, ${step.hazard}`}`];
  const add = (what: string, words: readonly string[]) => {
    if (words.length > 0) lines.push(`  ${what} ${words.join(', ')}`);
  };
  add('when', step.when.map(conditionWords));
  add('needs', step.needs.map(needWords));
  add('makes', step.makes);
  add('ends', step.ends);
  for (const ask of step.asks) {
    if (ask.ask === 'watch') add(`${ask.name} until`, [ask.until]);
    if (ask.ask !== 'choice') continue;
    add(
      'goes on after',
      ask.options.flatMap((option) => (option.hold === null ? [option.say] : [])),
    );
    add(
      'on hold after',
      ask.options.flatMap((option) => (option.hold === null ? [] : [option.say])),
    );
  }
  return lines;
}

function conditionWords(condition: Condition): string {
  const fact = openedFact(condition);
  if (fact !== null) return `${fact} ${condition.is.includes('yes') ? 'open' : 'closed'}`;
  return `${condition.reads} is ${condition.is.join(' or ')}`;
}

function needWords(need: Need): string {
  return need.map((way) => way.join(' with ')).join(' or ');
}
