import type { GearKind } from '../flow/flow.js';
import type { Quantity } from '../units/quantity.js';

/** What a job may know of the shop at this moment. Read only; built by the desk from the register. */
export type World = {
  /** Instant, ms since 1970. Never runs back within a job. */
  readonly now: number;
  /** Today in the workshop's time zone, `YYYY-MM-DD`. */
  readonly today: string;
  /** End of the shift that runs now, or null outside working hours. */
  readonly shiftEndsAt: number | null;
  readonly people: ReadonlyMap<string, Person>;
  readonly gear: ReadonlyMap<string, Gear>;
  readonly sealants: ReadonlyMap<string, Sealant>;
  /** Ids of those who may act as foreman now: foremen, and a deputy while named. */
  readonly foremen: readonly string[];
  /** Who holds a job in another bay, and in which. */
  readonly elsewhere: ReadonlyMap<string, string>;
  /** Who is named standby in another bay. */
  readonly standbyElsewhere: ReadonlyMap<string, string>;
  readonly emergency: readonly EmergencyNumber[];
  readonly settings: ShopSettings;
  /** Chance for drawing a gate word, 0 to 1, from the journal's last hash: the same on every replay. */
  readonly draw: number;
};

export type ShopSettings = {
  /** A pause longer than this puts what may lapse in doubt. */
  readonly pauseMinutes: number;
  /** A gate starts afresh after this long without an answer. */
  readonly visitMinutes: number;
  /** All five readings of a dead test lie within this. */
  readonly deadTestMinutes: number;
  /** A standby who has not said `here` this long after being asked is not there. */
  readonly checkInGraceMinutes: number;
};

export type Level = { readonly level: string; readonly until: string };

export type Person = {
  readonly id: string;
  readonly name: string;
  readonly roles: readonly Role[];
  readonly levels: readonly Level[];
};

export const ROLES = ['technician', 'foreman', 'trainee', 'desk'] as const;
export type Role = (typeof ROLES)[number];

export type Gear = {
  readonly id: string;
  readonly kind: GearKind;
  readonly label: string;
  readonly serial: string;
  /** Last test or calibration, `YYYY-MM-DD`, and the months it holds. */
  readonly tested: string;
  readonly months: number;
  /** Taken out of use, with the reason. */
  readonly out: string | null;
  /** Gloves: class by IEC 60903. */
  readonly gloveClass: string | null;
  /** Wrench, gauge, tester: the part of its range that counts, in one unit. */
  readonly range: { readonly from: Quantity; readonly to: Quantity } | null;
  /** Torque wrench: cycles since calibration and the most it may have. */
  readonly cycles: { readonly done: number; readonly most: number } | null;
  /** Torque wrench: lever length, and the adapter fitted, mm. */
  readonly lever: { readonly lengthMm: number; readonly adapterMm: number } | null;
  /** Proving source: nominal voltage. Insulation tester: test voltage. */
  readonly nominal: Quantity | null;
  /** Lift: what it may carry in all, and a single pad. */
  readonly rating: { readonly total: Quantity; readonly pad: Quantity } | null;
};

/** A batch of sealant on the shelf, with the data sheet of its product. */
export type Sealant = {
  readonly batch: string;
  readonly product: string;
  readonly useBy: string;
  readonly sheet: Readonly<Record<string, Quantity>>;
  /** Which issue of the data sheet the values come from. */
  readonly reference: string;
};

export type EmergencyNumber = { readonly label: string; readonly number: string };
