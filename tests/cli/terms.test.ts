// British terms: every text of the rule base changes dialect, no id does.
import { expect, it } from 'vitest';
import { inTerms } from '../../src/cli/terms.ts';
import { BOOK } from '../ui/rules.ts';

const british = inTerms(BOOK, 'uk');

it('leaves the American rule base as it is', () => {
  expect(inTerms(BOOK, 'us')).toBe(BOOK);
});

it('puts texts into British terms', () => {
  const texts = JSON.stringify(british.checks.map((c) => [c.title, c.where, c.how]));
  const before = JSON.stringify(BOOK.checks.map((c) => [c.title, c.where, c.how]));
  expect(before).toMatch(/flyback/i);
  expect(texts).not.toMatch(/\bflyback\b/i);
});

it('keeps every id, so that sessions and effects go on fitting', () => {
  const ids = (book: typeof BOOK) => ({
    checks: book.checks.map((c) => [
      c.id,
      c.section,
      c.phase,
      c.cautions,
      c.needs,
      c.options.map((o) => o.id),
      Object.keys(c.meaning),
    ]),
    parts: book.parts.map((p) => [p.id, p.faults.map((f) => [f.id, f.effects])]),
    signals: book.signals.map((s) => [s.id, s.inputs]),
    cautions: Object.keys(book.cautions),
    facts: book.facts.map((f) => [f.id, f.values.map((v) => v.id)]),
    families: book.families.map((f) => [f.id, f.facts, Object.keys(f.values)]),
    tubes: book.tubes,
  });
  expect(ids(british)).toEqual(ids(BOOK));
  expect(british.checks.map((c) => c.reads)).toEqual(BOOK.checks.map((c) => c.reads));
});
