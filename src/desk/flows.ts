import { createHash } from 'node:crypto';
import type { Fault } from '../flow/fault.js';
import type { Flow } from '../flow/flow.js';
import { bundleTexts, type FlowText, loadBundle, loadFlows } from '../flow/load.js';
import { prove } from '../flow/prove.js';
import type { FlowSource } from './flow-source.js';

/** SHA-256 in hex: the name of a bundle. */
export function sha256(text: string): string {
  return createHash('sha256').update(text).digest('hex');
}

/** Which bundles have been proved before, by hash: proving again would say the same. */
export type Verdicts = {
  has(bundle: string): Promise<boolean>;
  keep(bundle: string): Promise<void>;
};

/** Why a flow cannot be started, for the console and the author. */
export type FlowReport = { readonly flow: string; readonly words: readonly string[] };

export type OpenedFlows = {
  readonly source: FlowSource;
  readonly faults: readonly Fault[];
  readonly unproved: readonly FlowReport[];
};

/** Reads the flows, and proves those whose bundle has no verdict yet. A flow with a fault or a break is left out. */
export async function openFlows(files: readonly FlowText[], verdicts: Verdicts | null): Promise<OpenedFlows> {
  const { flows, faults } = loadFlows(files, sha256);
  const parkLeaves = [...flows.values()].find((flow) => flow.park)?.leaves ?? [];
  const good = new Map<string, Flow>();
  const unproved: FlowReport[] = [];
  for (const flow of flows.values()) {
    if (!flow.start) continue;
    if (verdicts !== null && (await verdicts.has(flow.bundle))) {
      good.set(flow.id, flow);
      continue;
    }
    const { breaks } = prove(flow, parkLeaves);
    if (breaks.length === 0) {
      good.set(flow.id, flow);
      await verdicts?.keep(flow.bundle);
    } else {
      const words = breaks.map(
        ({ property, problem, path }) => `${property}: ${problem}\n  ${path.join('\n  ')}`,
      );
      unproved.push({ flow: flow.id, words });
    }
  }
  return { source: sourceOf(good, files), faults, unproved };
}

function sourceOf(good: ReadonlyMap<string, Flow>, files: readonly FlowText[]): FlowSource {
  const kept = new Map<string, ReadonlyMap<string, string>>();
  return {
    current: (id) => good.get(id) ?? null,
    startable: () => [...good.keys()],
    texts: (flow) => {
      const texts = kept.get(flow.bundle) ?? bundleTexts(flow, files);
      kept.set(flow.bundle, texts);
      return texts;
    },
    restore: (texts, flow, bundle) => loadBundle(texts, flow, bundle, sha256),
  };
}
