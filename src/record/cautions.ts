/** What goes with every record and every start. */
export const CAUTIONS = [
  "An aid to trained people, not training. The maker's procedure, local law and the employer's rules come first.",
  'It cannot see the car: what is written here was said or measured by the people named.',
  'Nothing here says that a car or a pack holds no danger. It says what was proved, when, by whom and with what.',
  'A refused gate is never a fault of the person. In doubt: stop, and call the foreman.',
  'Proofs held only while nothing changed, and only for what they name. A pack is live inside at all times.',
] as const;
