// Loaded before the program in tests: its clock runs ahead by the seconds in a file, so that a wait of minutes costs none.
import { readFileSync } from 'node:fs';

const file = process.env.FIRST_RASTER_TEST_CLOCK ?? '';
const Real = Date;
const ahead = () => {
  try {
    return Number(readFileSync(file, 'utf8')) * 1000;
  } catch {
    return 0;
  }
};

globalThis.Date = class extends Real {
  constructor(...args) {
    if (args.length === 0) super(Real.now() + ahead());
    else super(...args);
  }

  static now() {
    return Real.now() + ahead();
  }
};
