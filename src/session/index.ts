// Public face of sessions: reading syntax, events, fold, files.

export { cleanText } from '../rulebook/plain-text.ts';
export { SessionError, type SessionErrorKind } from './error.ts';
export {
  canUndo,
  emptyState,
  fold,
  foldAll,
  NO_SOURCE,
  SIGNAL_SOURCE,
  safetyOfEvent,
  WITHDRAWN,
} from './fold.ts';
export { listSessions, rememberVerdict, type SessionSummary } from './list.ts';
export { safeName } from './names.ts';
export { OWNER_SAID, ownerSaid, saying } from './owner-said.ts';
export { exampleFor, type ParsedReading, parseReading, type ReadingSpec } from './reading-syntax.ts';
export {
  archiveSession,
  createSession,
  exportSession,
  importSession,
  latestSession,
  listArchived,
  type NewSession,
  type OpenOptions,
  openSession,
  Session,
  unarchiveSession,
} from './store.ts';
export * from './types.ts';
export { baseUnit, formatNumber, formatValue, fromBase, toBase } from './units.ts';
export { type SessionHeader, validateEvent } from './validate.ts';
