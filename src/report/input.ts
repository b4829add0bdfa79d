// What a report is made from: the walk's view of a session, who wrote it, and under which rules.
import type { FaultTreeNode } from '../diagnosis/types.ts';
import type { Rulebook } from '../rulebook/types.ts';
import type { WalkView } from '../walk/types.ts';
import type { Photo } from './photos.ts';
import type { Terms } from './terms.ts';

/** Which part of a report is wanted: the owner's page, the bench record, or both where it is left out. */
export type ReportPart = 'owner' | 'record';

/** The parts of a walk's view that a report reads. */
export type ReportView = Omit<WalkView, 'safety' | 'step'> & {
  readonly safety: Pick<WalkView['safety'], 'unproven'>;
};

export interface ReportInput {
  readonly view: ReportView;
  readonly session: {
    readonly name: string;
    /** ISO 8601. */
    readonly created: string;
    readonly rules: { readonly name: string; readonly version: string; readonly hash: string };
  };
  readonly technician?: string;
  readonly rulebook: Rulebook;
  readonly now: Date;
  readonly terms?: Terms;
  /** Fault trees of signals that are not right, for the bench record. */
  readonly faultTrees?: readonly FaultTreeNode[];
  /** Photos, already read, for the HTML report; Markdown names them. */
  readonly photos?: readonly Photo[];
}
