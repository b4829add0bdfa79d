// The walk: the card of the step at hand in fixed places, the input line, the last entry; beside it, where there is room, what is likely wrong.
import type { Gate } from '../../safety/index.ts';
import type { Judgement, Step } from '../../walk/types.ts';
import { askedAgain } from '../app/again.ts';
import type { App } from '../app/app.ts';
import { dischargeAt } from '../app/discharge.ts';
import { mayHold } from '../app/held.ts';
import { SKIP_KEYS, TOUCHED_KEYS, type WalkScreen } from '../app/model.ts';
import { simulatedAt } from '../app/rehearsal.ts';
import { answersAtOnce, currentStep, stepOptions } from '../app/walk.ts';
import type { Command } from '../keys.ts';
import { BLANK, beside, cut, type Line, plain, span, wrap } from '../text.ts';
import { STANDING_MARK } from '../theme.ts';
import { bigText } from './big-digits.ts';
import { bringUpLines, bringUpTable } from './bring-up.ts';
import { type Block, blocks, CARD_LINES, head, padTo, WHOLE } from './card.ts';
import { checkCard } from './check-card.ts';
import { banner, bodyHeight, framed, inputLine } from './frame.ts';
import { gauge, placeOf, rangeWords, rightRange } from './gauge.ts';
import { adviceLeft, lastStrip, MOST_MISFIT, misfit, recentReadings } from './last.ts';
import { powerCard } from './power-card.ts';
import { bar, suspectsLine, suspectsPane } from './suspects.ts';

/** From this width on, the suspects stand beside the card. */
export const WIDE = 110;
const PANE_SHARE = 0.36;
/** Said where the walk ends on a core part that is lost. */
const GO_ON = 'If the owner wants the rest known all the same, or there is a spare: type go and Enter.';

type CheckStep = Extract<Step, { kind: 'check' }>;

export function walkView(app: App, screen: WalkScreen): Line[] {
  const { columns, live, large } = app.state;
  const height = bodyHeight(app);
  const step = currentStep(app, screen);
  if (!live || !step) return framed(app, []);
  const wide = columns >= WIDE;
  const paneWidth = wide ? Math.min(56, Math.floor(columns * PANE_SHARE)) : 0;
  const width = wide ? columns - paneWidth - 3 : columns;
  const trouble = live.view.trouble
    ? wrap(live.view.trouble, width)
        .slice(0, 2)
        .map((t) => plain(t, 'bad'))
    : [];
  const big = large && step.kind === 'check' && step.check.kind !== 'choice';
  const held = mayHold(live)
    ? [plain(cut('Read live but not typed yet? Tab lists what may still be entered.', width), 'accent')]
    : [];
  const suspects = wide || big ? [] : [suspectsLine(live, width)];
  const odd = misfit(live.view, width);
  const below =
    trouble.length > 0
      ? [...trouble.slice(0, odd.length > 0 ? 1 : trouble.length), ...odd]
      : held.length > 0
        ? held
        : [...odd, ...(odd.length < MOST_MISFIT ? suspects : [])];
  const ladder = bringUpLines(live, app.now().getTime(), width);
  const entry = entryLines(app, screen, step, width, large && step.kind === 'check');
  const roomBeside = (strip: readonly Line[]): number => height - strip.length - entry.length;
  let strip = [...ladder, ...lastStrip(live.last, width, below)];
  let room = roomBeside(strip);
  let lines = cardLines(app, screen, step, width, room);
  const free = Math.min(adviceLeft(live.last, width), room - lines.length - 1);
  if (free > 0) {
    strip = [...ladder, ...lastStrip(live.last, width, below, free)];
    room = roomBeside(strip);
    lines = cardLines(app, screen, step, width, room);
  }
  // On a tall screen the input line stays near the text, at one height from card to card, and the last readings fill the rest.
  const card = padTo(lines, Math.min(room, Math.max(CARD_LINES, lines.length + 1)));
  const recent = recentReadings(app, width, room - card.length);
  const body = [...card, ...entry, ...recent, ...strip];
  const pane = wide ? suspectsPane(live, paneWidth, height) : [];
  return framed(app, wide ? beside(body, width, pane, ' │ ') : body, hiddenKeys(step, mayHold(live)));
}

/** Keys that would do nothing at this step. */
function hiddenKeys(step: Step, held: boolean): readonly Command[] {
  if (step.kind !== 'check') return held ? ['skip'] : ['skip', 'list'];
  return step.check.group === undefined || step.check.state === 'S1' || step.check.state === 'S2'
    ? ['list']
    : [];
}

/** A reason with capital and stop. */
function asSentence(text: string): string {
  return `${text.charAt(0).toUpperCase()}${text.slice(1)}${/[.!?]$/.test(text) ? '' : '.'}`;
}

function cardLines(app: App, screen: WalkScreen, step: Step, width: number, height: number): Line[] {
  switch (step.kind) {
    case 'check':
      return checkCard(app, screen, step, width, height);
    case 'gate': {
      const { gate } = step;
      const { live } = app.state;
      const again = step.early
        ? 'it would lapse meanwhile'
        : live
          ? askedAgain(gate, live.view.state.safetyLog, app.book.checks, app.now().getTime())
          : '';
      const lines = head(
        again === '' ? `Before: ${step.toward}` : `Again, ${again}. Before: ${step.toward}`,
        step.of > 1 ? `${step.of} proofs to go` : 'last proof',
        gate.title,
        width,
      );
      if (step.rows)
        lines.push(
          ...bringUpTable(step.rows, live?.view.state.lineVolts ?? 0, width).slice(0, 1 + step.rows.length),
        );
      const list: Block[] = [
        ...(step.lacking
          ? [{ label: 'LEFT', paragraphs: [step.lacking], tone: 'watch' as const, least: 1, rank: 0 }]
          : []),
        { label: 'ASK', paragraphs: [gate.ask], least: 2, rank: 0 },
        {
          label: 'HOW',
          paragraphs: gate.how.map((h, n) => (gate.how.length > 1 ? `${n + 1}. ${h}` : h)),
          least: 2,
          rank: 3,
        },
        {
          label: 'CAUTION',
          paragraphs: [...withoutProbe(app, gate), ...gate.cautions],
          tone: 'watch',
          least: WHOLE,
          rank: 1,
        },
        { label: 'PASSES', paragraphs: [gate.limitText], least: 1, rank: 2 },
        ...dischargeBlock(app, gate),
      ];
      return [...lines, ...blocks(list, width, height - lines.length, screen.scroll)];
    }
    case 'power-up':
      return powerCard(app, screen, step, width, height);
    case 'configure': {
      const lines = head(
        step.item === 'signal' ? 'At the signal source' : 'Change, set dead',
        '',
        step.title,
        width,
      );
      const list: Block[] = [
        { label: 'HOW', paragraphs: step.how.map((h, n) => `${n + 1}. ${h}`), least: 2, rank: 0 },
        { label: 'WHY', paragraphs: [step.why], least: 1, rank: 1 },
      ];
      return [...lines, ...blocks(list, width, height - lines.length, screen.scroll)];
    }
    case 'danger':
      return banner('POWER OFF NOW', [step.say], width, 'danger');
    case 'power-off':
      return [
        ...head('Power', '', 'Switch off and pull the plug', width),
        ...blocks(
          [{ label: 'WHY', paragraphs: [asSentence(step.why)], least: 1, rank: 0 }],
          width,
          height - 2,
          screen.scroll,
        ),
      ];
    case 'stop':
      return [
        ...head('', '', step.title, width),
        ...blocks(
          [
            {
              label: '',
              paragraphs: [step.say, ...(step.lost ? [`${GO_ON} ${step.lost.goingOn}`] : [])],
              least: 3,
              rank: 0,
            },
          ],
          width,
          height - 2,
          screen.scroll,
        ),
      ];
    case 'describe-set':
      return head('', '', 'The set is not described yet', width);
    case 'describe-bench':
      return head('', '', 'The bench is not described yet', width);
  }
}

/** What a discharge comes to by now, computed; said to be no proof. */
function dischargeBlock(app: App, gate: Gate): Block[] {
  const { live } = app.state;
  const discharge = live && dischargeAt(live, gate, app.now().getTime());
  if (!discharge) return [];
  const { fromVolts, leftVolts, sinceSeconds, holdSeconds, enoughSeconds, words } = discharge;
  const volts = (v: number): string => {
    if (v < 1) return 'under 1 V';
    return v >= 10_000 ? `${Math.round(v / 1000)} kV` : `${v < 10 ? v.toFixed(1) : Math.round(v)} V`;
  };
  const proof = 'if the resistor makes contact. Only the meter proves it.';
  const computed =
    sinceSeconds === undefined
      ? `Computed: ${volts(fromVolts)} through ${words} passes in ${enoughSeconds.toFixed(1)} s, ${proof} ^S counts ${holdSeconds} s.`
      : sinceSeconds < holdSeconds
        ? `${bar(1 - sinceSeconds / holdSeconds, 10)} ${Math.ceil(holdSeconds - sinceSeconds)} s. Computed: ${volts(leftVolts)} of ${volts(fromVolts)} left, ${proof}`
        : `Time is up: read it now. Computed ${volts(leftVolts)}, ${proof}`;
  // Until it runs, how the discharge is done comes first.
  const running = sinceSeconds !== undefined;
  return [{ label: 'LEFT', paragraphs: [computed], least: running ? 2 : 0, rank: running ? 1 : 4 }];
}

function optionLines(
  screen: WalkScreen,
  options: readonly { readonly title: string }[],
  width: number,
): Line[] {
  return options.map((o, n): Line => {
    const marked = n === screen.option;
    return [
      span(marked ? '▸ ' : '  ', 'accent'),
      span(`${n + 1}  `, 'accent'),
      span(cut(o.title, width - 6), marked ? 'title' : 'plain', { inverse: marked }),
    ];
  });
}

/** What Enter does now, in a few words under the line. */
function enterHint(step: Step, screen: WalkScreen, rehearsed: boolean): string {
  switch (step.kind) {
    case 'check':
    case 'gate':
      if (stepOptions(step).length > 0)
        return screen.option >= 0
          ? 'Enter takes it'
          : answersAtOnce(step)
            ? 'a number takes it at once; or arrows, then Enter'
            : 'arrows or a number, then Enter';
      if (step.kind === 'check' && step.check.kind === 'pair') {
        const labels = step.check.pairLabels;
        return `two values with a blank between${labels ? `: ${labels.join(', ')}` : ''}`;
      }
      if (step.kind === 'gate' && step.gate.unitNeeded)
        return 'with its unit: kV by the probe, V by a meter; 0 needs none';
      return step.kind === 'check'
        ? unitHint(step.check.unit)
        : `in ${step.gate.unit} if no unit is typed; one digit alone wants it`;
    case 'power-up':
      return "volts at the set's plug, then Enter: power is on";
    case 'configure':
      return step.item === 'signal-lead' && step.value === 'fitted'
        ? 'Enter: done as said; ^K: no signal source today'
        : 'Enter: done as said';
    case 'danger':
    case 'power-off':
      return 'Enter: the plug is out';
    case 'stop':
      return `Enter: ${rehearsed ? 'what was wrong' : 'the verdict'}${step.lost ? '; go: go on all the same' : ''}`;
    default:
      return 'Enter';
  }
}

const unitHint = (unit: string): string =>
  unit === '' ? 'type the reading' : `in ${unit} if no unit is typed; ol = over range`;

function entryLines(app: App, screen: WalkScreen, step: Step, width: number, large: boolean): Line[] {
  const { mode } = screen;
  switch (mode.kind) {
    case 'ask':
      return [
        ...wrap(mode.message, width).map((t) => plain(t, 'watch')),
        ...mode.alternatives.map(
          (a, n): Line => [
            span(n === mode.index ? '▸ ' : '  ', 'accent'),
            span(`${n + 1}  `, 'accent'),
            span(a.label, 'plain', { inverse: n === mode.index }),
          ],
        ),
        plain('Enter takes the marked one, Esc goes back to typing', 'quiet'),
      ];
    case 'skip':
      return [
        plain('Skip this check: why? One key.', 'title'),
        ...SKIP_KEYS.map((k, n): Line => [span(`  ${n + 1}  `, 'accent'), span(k.title)]),
      ];
    case 'touched':
      return [
        plain('What happened beside the walk? One key, Esc if nothing did.', 'title'),
        ...TOUCHED_KEYS.map((k, n): Line => [span(`  ${n + 1}  `, 'accent'), span(k.title)]),
      ];
    case 'text': {
      const prompt = {
        note: noteAbout(app, mode.check),
        'line-volts': 'Line volts at the set now, and amps if read (50 0.21)',
        'skip-other': 'Reason',
        timer: 'Timer, minutes',
        printed: 'Printed value (265 @ 120 = at 120 V line)',
      }[mode.purpose];
      return [inputLine(`${prompt}:`, mode.edit, width), plain('Enter keeps it, Esc leaves it', 'quiet')];
    }
    case 'entry':
      return valueLines(app, screen, step, width, large);
  }
}

/** Said where the anode is to be proven, and the bench list of today has not what that takes. */
function withoutProbe(app: App, gate: Gate): string[] {
  const { instruments } = app.state.live?.view.state ?? {};
  if (!instruments || gate.unitNeeded !== true) return [];
  if (!instruments.includes('hv-discharge-stick'))
    return [
      'No discharge stick is on the bench list: stop here until there is one. A high-value HV-rated resistor on an insulated rod, or whoever has one.',
    ];
  return instruments.includes('hv-probe')
    ? []
    : [
        'No HV probe is on the bench list: a meter goes on only after the stick, its ohms proven, stayed on 15 s.',
      ];
}

/** `Note, about "Knobs, back and insulators"`. */
function noteAbout(app: App, id: string): string {
  const check = app.book.checks.find((one) => one.id === id);
  return check ? `Note, about "${check.title}"` : 'Note';
}

function valueLines(app: App, screen: WalkScreen, step: Step, width: number, large: boolean): Line[] {
  const { live } = app.state;
  const shown = screen.input.text === '' && screen.option < 0 && live && simulatedAt(app, live, step);
  const hint = shown ? shown.say : enterHint(step, screen, live?.practice !== undefined);
  const line = inputLine('>', screen.input, width, [span(`  ${hint}`, 'quiet')]);
  const options = stepOptions(step);
  if (!live || step.kind !== 'check' || options.length > 0) {
    const marked = options[screen.option];
    const said = marked && 'say' in marked && typeof marked.say === 'string' ? marked.say : '';
    return [
      ...(options.length > 0 ? [BLANK] : []),
      ...optionLines(screen, options, width),
      ...(said === ''
        ? []
        : wrap(said, width)
            .slice(0, 2)
            .map((t) => plain(t, 'watch'))),
      line,
    ];
  }
  const range = rightRange(step.check, step.expected);
  const thought =
    screen.input.text.trim() === '' ? undefined : app.engine.preview(live.view, step, screen.input.text);
  const picture = range ? gauge(range, thought && marker(thought, step), width) : [];
  const said: Line = thought
    ? [
        span(`${STANDING_MARK[thought.standing].mark} `, STANDING_MARK[thought.standing].tone),
        span(cut(thought.say, width - 2), STANDING_MARK[thought.standing].tone),
      ]
    : BLANK;
  if (!large) return [...picture, line, said];
  const typed = screen.input.text === '' ? '-' : screen.input.text;
  const want = range ? (rangeWords(range).split(',')[0] ?? '') : '';
  return [...bigText('EXPECT', want, width), BLANK, ...bigText('READ', typed, width), line, said];
}

function marker(judged: Judgement, step: CheckStep) {
  const at = placeOf(judged.value, step.check);
  if (at === undefined) return undefined;
  const ratio = judged.ratio === undefined ? '' : `  ${judged.ratio.toFixed(2)} ×`;
  return { at, label: `${judged.text}${ratio}`, standing: judged.standing };
}
