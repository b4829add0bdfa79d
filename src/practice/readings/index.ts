// Every answer that a simulated set can give, by check.
import type { Answers } from './context.ts';
import { DEFLECTION_ANSWERS } from './deflection.ts';
import { LIFTED_ANSWERS } from './lifted.ts';
import { PICTURE_ANSWERS } from './picture.ts';
import { SIGNAL_ANSWERS } from './signal.ts';
import { SUPPLY_ANSWERS } from './supply.ts';
import { TABLE_ANSWERS } from './tables.ts';
import { VERTICAL_ANSWERS } from './vertical.ts';

export const ANSWERS: Answers = {
  ...TABLE_ANSWERS,
  ...SUPPLY_ANSWERS,
  ...DEFLECTION_ANSWERS,
  ...PICTURE_ANSWERS,
  ...VERTICAL_ANSWERS,
  ...SIGNAL_ANSWERS,
  ...LIFTED_ANSWERS,
};
