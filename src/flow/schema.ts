import { z } from 'zod';
import { hazardsSchema, wholeFlowSchema } from './grammar.js';

/** JSON Schema of a flow file, for editors: completion and a first complaint while typing. */
export function flowJsonSchema(): object {
  return z.toJSONSchema(wholeFlowSchema, { io: 'input', target: 'draft-7' });
}

/** JSON Schema of the hazard table, for editors. */
export function hazardsJsonSchema(): object {
  return z.toJSONSchema(hazardsSchema, { io: 'input', target: 'draft-7' });
}
