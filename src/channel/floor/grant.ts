import type { Written } from '../../shop/documents.js';
import { printRegisterFault } from '../../shop/fault.js';
import { openRegister } from '../../shop/folder.js';
import { newToken, PIN, type Secret, secretOf } from '../../shop/secret.js';

/** What came of a command on the register, in lines for the console. */
export type Granted = { readonly ok: boolean; readonly lines: readonly string[] };

/** Sets a person's PIN in the register of a folder. A PIN that was there before is replaced. */
export async function givePin(folder: string, person: string, said: string): Promise<Granted> {
  const pin = said.trim();
  if (!PIN.test(pin)) return { ok: false, lines: ['A PIN is 4 to 12 digits. Nothing was changed.'] };
  if (isGuessed(pin))
    return { ok: false, lines: ['Too easy to guess: take another one. Nothing was changed.'] };
  const secret = await secretOf(pin);
  return change(folder, person, { pin: secret }, (name) => [
    `${name} has a PIN now. A running page knows it in a few seconds.`,
  ]);
}

/** Makes a person's own link to the page. The link before, if there was one, opens nothing any more. */
export async function giveLink(folder: string, person: string, base: string): Promise<Granted> {
  const token = `${person}.${newToken()}`;
  const secret = await secretOf(token);
  return change(folder, person, { link: secret }, (name) => [
    `${base}/as/${token}`,
    `Whoever opens it speaks as ${name}: give it to nobody else. It is not shown again; a new one replaces it.`,
  ]);
}

async function change(
  folder: string,
  person: string,
  secret: { readonly pin?: Secret; readonly link?: Secret },
  done: (name: string) => readonly string[],
): Promise<Granted> {
  let found: Written['people.json']['people'][number] | undefined;
  const known: string[] = [];
  const changed = await openRegister(folder).change('people.json', ({ people }) => {
    known.push(...people.map(({ id }) => id));
    found = people.find(({ id }) => id === person);
    if (found !== undefined) Object.assign(found, secret);
  });
  if (!changed.ok) {
    const faults = changed.faults.map((fault) => `  ${printRegisterFault(fault)}`);
    return { ok: false, lines: [`The register in ${folder} has faults. Correct them first:`, ...faults] };
  }
  if (found === undefined) {
    return {
      ok: false,
      lines: [`Nobody is called ${person} in the register. There is: ${known.join(', ')}.`],
    };
  }
  return { ok: true, lines: done(found.name) };
}

/** All digits alike, or each one up or down from the one before: what is tried first. */
function isGuessed(pin: string): boolean {
  const steps = [...pin].slice(1).map((digit, at) => Number(digit) - Number(pin[at]));
  return steps.every((step) => step === steps[0]) && [0, 1, -1].includes(steps[0] ?? 0);
}
