// The answers to a question of intake as a list of choices; keys come through the key table, so the list takes none itself.
import { Box } from 'ink';
import SelectInput from 'ink-select-input';
import { createContext, useContext } from 'react';
import { BLANK } from '../text.ts';
import type { IntakeParts } from './intake.ts';
import { Lines } from './lines.tsx';

interface RowProps {
  readonly label: string;
  readonly isSelected?: boolean;
}

/** The marker is part of the row. */
function NoIndicator() {
  return null;
}

const Parts = createContext<IntakeParts>({ above: [], answers: [], mark: 0, below: [] });

function Row({ label, isSelected = false }: RowProps) {
  return <Lines lines={[useContext(Parts).answers[Number(label)]?.(isSelected) ?? BLANK]} />;
}

export function Answers({ parts }: { readonly parts: IntakeParts }) {
  const { above, answers, mark, below } = parts;
  return (
    <Parts.Provider value={parts}>
      <Box flexDirection="column">
        <Lines lines={above} />
        <SelectInput
          key={`${answers.length} ${mark}`}
          isFocused={false}
          items={answers.map((_, n) => ({ key: String(n), label: String(n), value: n }))}
          initialIndex={mark}
          indicatorComponent={NoIndicator}
          itemComponent={Row}
        />
        <Lines lines={below} />
      </Box>
    </Parts.Provider>
  );
}
