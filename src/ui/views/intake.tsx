// Intake: the questions with their answers at the left, the one being asked at the right.
import { Box } from 'ink';
import SelectInput from 'ink-select-input';
import { useState } from 'react';
import type { App } from '../app/app.ts';
import { acceptAnswer, draftOf } from '../app/intake.ts';
import { fieldValue, fieldWords, type IntakeField, intakeFields } from '../app/intake-fields.ts';
import type { IntakeScreen } from '../app/model.ts';
import { BLANK, cut, type Line, pad, plain, span, tall, windowStart, wrap } from '../text.ts';
import { bodyHeight, footLine, framed, headLine, inputLine, statusLine } from './frame.ts';
import { Lines } from './lines.tsx';

const LEFT_SHARE = 0.44;

function fieldLines(app: App, screen: IntakeScreen, width: number, height: number): Line[] {
  const draft = draftOf(screen);
  const fields = intakeFields(app.book, screen.draft);
  const from = windowStart(screen.index, fields.length, height);
  return fields.slice(from, from + height).map((field, n): Line => {
    const marked = from + n === screen.index;
    const title = pad(field.title, 20);
    return [
      span(marked ? '▸ ' : '  ', 'accent'),
      span(`${title} `, marked ? 'title' : 'quiet'),
      span(cut(fieldWords(field, draft), width - 24)),
    ];
  });
}

function manyLines(screen: IntakeScreen, field: IntakeField, width: number, height: number): Line[] {
  const from = windowStart(screen.mark, field.options.length, height);
  return field.options.slice(from, from + height).map((o, n): Line => {
    const marked = from + n === screen.mark;
    const has = screen.draft.complaint.includes(o.id);
    return [
      span(marked ? '▸ ' : '  ', 'accent'),
      span(has ? '[x] ' : '[ ] ', has ? 'good' : 'quiet'),
      span(cut(o.title, width - 7), 'plain', { inverse: marked }),
    ];
  });
}

interface ChoiceItem {
  readonly label: string;
  readonly isSelected?: boolean;
}

function Indicator({ isSelected = false }: { readonly isSelected?: boolean }) {
  return <Lines lines={[plain(isSelected ? '▸ ' : '  ', 'accent')]} />;
}

function Item({ label, isSelected = false }: ChoiceItem) {
  return <Lines lines={[plain(label, 'plain', { inverse: isSelected })]} />;
}

function Choice(props: {
  readonly app: App;
  readonly screen: IntakeScreen;
  readonly field: IntakeField;
  readonly width: number;
  readonly height: number;
}) {
  const { app, screen, field, width, height } = props;
  const now = field.options.findIndex((o) => o.id === fieldValue(field, draftOf(screen)));
  const first = Math.max(0, now);
  const [shown, setShown] = useState(field.options[first]?.id ?? '');
  const describe = field.options.find((o) => o.id === shown)?.describe ?? '';
  const about = wrap(describe, width).slice(0, 6);
  const items = field.options.map((o, n) => ({
    label: cut(`${n < 9 ? `${n + 1} ` : '  '}${o.title}`, width - 3),
    value: o.id,
  }));
  return (
    <Box flexDirection="column">
      <SelectInput
        items={items}
        initialIndex={first}
        limit={Math.max(3, height - about.length - 1)}
        indicatorComponent={Indicator}
        itemComponent={Item}
        onHighlight={(item) => setShown(item.value)}
        onSelect={(item) => acceptAnswer(app, screen, item.value, 1)}
      />
      <Lines lines={[BLANK, ...about.map((t) => plain(t, 'quiet'))]} />
    </Box>
  );
}

export function Intake({ app, screen }: { readonly app: App; readonly screen: IntakeScreen }) {
  const { columns } = app.state;
  const height = bodyHeight(app);
  const left = Math.floor(columns * LEFT_SHARE);
  const right = columns - left - 2;
  const fields = intakeFields(app.book, screen.draft);
  const field = fields[screen.index];
  if (!field) return <Lines lines={framed(app, [])} />;
  const ask: Line[] = [...wrap(field.ask, right).map((t) => plain(t, 'title')), BLANK];
  const room = height - ask.length;
  const isText = field.kind === 'text' || field.kind === 'number';
  const hint =
    field.kind === 'many' ? 'Space marks, Enter goes on' : 'Enter goes on, ^G when enough is known';
  const answer: Line[] = isText
    ? [
        inputLine('>', screen.edit, right, field.unit ? [span(` ${field.unit}`, 'quiet')] : []),
        BLANK,
        plain(cut(hint, right), 'quiet'),
      ]
    : [...manyLines(screen, field, right, room - 2), BLANK, plain(cut(hint, right), 'quiet')];
  const { notice } = app.state;
  return (
    <Box flexDirection="column">
      <Lines lines={[headLine(app, columns), statusLine(app, columns)]} />
      <Box height={height}>
        <Box width={left + 2}>
          <Lines lines={tall(fieldLines(app, screen, left, height), height)} />
        </Box>
        <Box flexDirection="column" width={right}>
          <Lines lines={ask} />
          {field.kind === 'choice' ? (
            <Choice key={field.id} app={app} screen={screen} field={field} width={right} height={room} />
          ) : (
            <Lines lines={answer} />
          )}
        </Box>
      </Box>
      <Lines
        lines={[
          ...wrap(notice?.text ?? ' ', columns - 1)
            .slice(0, 3)
            .map((t) => plain(t || ' ', notice?.tone ?? 'quiet')),
          footLine(app, columns),
        ]}
      />
    </Box>
  );
}
