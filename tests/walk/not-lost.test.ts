// A good picture tube is not given up on a complaint and a burnt screen: a lost core part rests on readings that speak for it.
import { describe, expect, it } from 'vitest';
import { drawSet, setFactsOf } from '../../src/practice/index.ts';
import { evaluateWalk } from '../../src/walk/evaluate.ts';
import { engine, WELL_EQUIPPED } from './simulated-walk.ts';

const set = await drawSet({
  seed: 15024,
  family: 'series-halfwave-300ma',
  level: 'single',
  fault: 'video-output.tube/weak',
});

describe('a dim picture on a tube with an ion burn', () => {
  const walk = evaluateWalk(engine, { set: setFactsOf(set), instruments: WELL_EQUIPPED }, (check, now) =>
    check.id === 'picture-tube-screen' ? 'ion-burn' : set.answer(check, now.state.config),
  );

  it('is not the end of the picture tube', () => {
    expect(walk.asked.find((a) => a.check === 'picture-tube-screen')?.answer).toBe('ion-burn');
    expect(walk.view.plan.stop?.reason).not.toBe('core-failed');
    const grade = walk.view.verdict?.core.find((entry) => entry.id === 'picture-tube')?.grade;
    expect(['serviceable', 'doubtful']).toContain(grade);
  });

  it('leaves nothing to repair on the screen itself: it is said with the grade', () => {
    const verdict = walk.view.verdict;
    expect(verdict?.core.find((entry) => entry.id === 'picture-tube')?.say).toContain(
      'a picture can be watched',
    );
    expect(verdict?.nextSteps.filter((step) => /screen of the picture tube/i.test(step.action))).toEqual([]);
  });

  it('is tested at the cathode before anything is said of it', () => {
    const asked = walk.asked.map((a) => a.check);
    expect(asked).toContain('picture-look');
    expect(
      asked.some((id) => id.startsWith('picture-tube-') && /life|tester|emission|zero-bias|cutoff/.test(id)),
    ).toBe(true);
  });
});
