// What can go wrong with a session file, as one typed error whose message says where and what to do.

export type SessionErrorKind =
  | 'full'
  | 'read-only'
  | 'permission'
  | 'locked'
  | 'damaged'
  | 'newer'
  | 'missing'
  | 'io';

/** Anything that keeps a session from being read or written. `path` is the file meant, `line` its line where known. */
export class SessionError extends Error {
  readonly kind: SessionErrorKind;
  readonly path: string;
  readonly line: number | undefined;

  constructor(kind: SessionErrorKind, path: string, message: string, line?: number) {
    super(message);
    this.name = 'SessionError';
    this.kind = kind;
    this.path = path;
    this.line = line;
  }
}

const BY_CODE: Readonly<Record<string, readonly [SessionErrorKind, string]>> = {
  ENOSPC: ['full', 'the disk is full. Free some space and try again, or save elsewhere.'],
  EDQUOT: ['full', 'your disk quota is used up. Free some space and try again, or save elsewhere.'],
  EFBIG: ['full', 'the file has reached the size that this disk allows. Save elsewhere.'],
  EROFS: ['read-only', 'the disk is read-only. Make it writable and try again, or save elsewhere.'],
  EACCES: ['permission', 'no permission. Change its permissions and try again, or save elsewhere.'],
  EPERM: [
    'permission',
    'the system does not permit it. Change its permissions and try again, or save elsewhere.',
  ],
  ENOENT: ['missing', 'it does not exist (any more). Save elsewhere, or choose another session.'],
  EEXIST: ['io', 'it is there already and is not replaced. Choose another name.'],
  ENOTDIR: ['missing', 'a part of the path is not a folder. Choose another sessions folder.'],
  EISDIR: ['missing', 'it is a folder, not a session file.'],
  ELOOP: ['permission', 'it is a symbolic link; session files are not followed through links.'],
  EMFILE: ['io', 'too many files are open. Close other programs and try again.'],
  EIO: ['io', 'the disk reports a hardware error. Save elsewhere, then check the disk.'],
};

function codeOf(error: unknown): string {
  return error instanceof Error && 'code' in error && typeof error.code === 'string' ? error.code : '';
}

/** Turns whatever the file system threw into a SessionError; `doing` completes "Cannot ...". */
export function sessionError(error: unknown, path: string, doing: string): SessionError {
  if (error instanceof SessionError) return error;
  const code = codeOf(error);
  const [kind, advice] = BY_CODE[code] ?? ['io', `${code || 'unknown error'}. Try again, or save elsewhere.`];
  return new SessionError(kind, path, `Cannot ${doing} ${path}: ${advice}`);
}

/** True if the file system's answer was this code, e.g. `ENOENT`. */
export function hasCode(error: unknown, code: string): boolean {
  return codeOf(error) === code;
}
