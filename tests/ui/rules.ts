// The shipped rule base for screen tests, read once a test file.
import { join } from 'node:path';
import { loadRules, problemLine } from '../../src/rulebook/index.ts';

const { book, problems } = loadRules(join(import.meta.dirname, '../../rules'));
if (!book) throw new Error(problems.map(problemLine).join('\n'));

export const BOOK = book;
