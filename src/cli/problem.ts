// What ends a command: exit codes, and errors that are the user's to mend (no stack trace for those).

/** Exit codes of the program. */
export const EXIT = { done: 0, input: 1, usage: 2, internal: 70 } as const;

/** The command line was not understood. */
export class UsageError extends Error {}

/** The input was wrong: message says what and where. */
export class InputError extends Error {}
