// The shape of rule-pack files, as zod schemas with the defaults that a rule writer may leave out.
import { z } from 'zod';
import { CHECK_STATES, QUANTITIES, SCALES } from './types.ts';
import { UNITS, unitFactor } from './units.ts';

const id = z.string().regex(/^[a-z0-9]+(-[a-z0-9]+)*$/, 'an id is lower-case words joined by hyphens');
const text = z.string().trim().min(1);
const unit = z
  .string()
  .refine(
    (u) => unitFactor(u) !== undefined,
    `a unit is one of ${UNITS.filter(Boolean).join(' ')}, or empty`,
  );
const probability = z.number().min(0).max(1);
const condition = z.record(id, z.array(z.string()).min(1));

const effectRow = z
  .strictObject({ high: probability.optional(), low: probability.optional(), absent: probability.optional() })
  .refine(
    (row) => (row.high ?? 0) + (row.low ?? 0) + (row.absent ?? 0) <= 1 + 1e-9,
    'the chances of one row add up to more than 1',
  );

const inputRows = z.union([
  z.enum(['strong', 'gate']),
  z.strictObject({ high: effectRow.optional(), low: effectRow.optional(), absent: effectRow.optional() }),
]);

const signal = z.strictObject({
  title: text,
  describe: text,
  outcome: z.boolean().default(false),
  'shown-by': z.array(id).default([]),
  inputs: z
    .union([
      z.record(id, inputRows),
      z.array(z.strictObject({ signal: id, rows: inputRows, when: condition.optional() })),
    ])
    .default({}),
  leak: effectRow.default({ low: 0.002, absent: 0.001 }),
  when: condition.optional(),
});

const prior = z.union([
  probability,
  z.strictObject({ none: probability, recapped: probability, unknown: probability.optional() }),
]);

const fault = z.strictObject({
  title: text,
  prior: prior.optional(),
  factors: z.record(id, z.record(z.string(), z.number().min(0).max(30))).default({}),
  effects: z.record(id, effectRow).default({}),
  source: text.optional(),
});

const span = z
  .tuple([z.number().min(0), z.number().min(0)])
  .refine(([a, b]) => a <= b, 'least comes first, most second');

const part = z.strictObject({
  title: text,
  kind: id,
  tube: id.optional(),
  assembly: id.optional(),
  when: condition.optional(),
  faults: z.record(id, fault),
  remedy: z.strictObject({
    action: text,
    parts: z.string().default(''),
    caution: z.string().default(''),
    hours: span.default([0.2, 0.5]),
    cost: span.default([1, 10]),
  }),
});

const limit = z.number().nullable();
const band = z
  .tuple([limit, limit])
  .refine(
    ([a, b]) => a === null || b === null || a < b,
    'a band runs from its lower limit to its higher one',
  );
const bands = z.record(id, z.union([band.transform((one) => [one]), z.array(band).min(1)]));

const read = z
  .strictObject({
    signal: id.optional(),
    part: z
      .string()
      .regex(/^[a-z0-9-]+\.[a-z0-9-]+$/, 'a part is named section.part')
      .optional(),
    scale: z.enum(SCALES),
    bands: bands.default({}),
    table: z.record(id, z.record(id, probability)).default({}),
    spread: z.number().positive().default(0.1),
  })
  .refine(
    (r) => (r.signal === undefined) !== (r.part === undefined),
    'a read names exactly one signal or one part',
  )
  .refine(
    (r) => (r.scale === 'choice' ? Object.keys(r.table).length > 0 : Object.keys(r.bands).length > 0),
    'a choice read needs a table, any other read needs bands',
  );

const line = z.enum(['proportional', 'fixed']).default('fixed');
const expectation = z.discriminatedUnion('from', [
  z.strictObject({
    from: z.literal('constant'),
    value: z.number(),
    spread: z.number().min(0).default(0.1),
    line,
    reason: text,
  }),
  z.strictObject({
    from: z.literal('family'),
    value: id,
    times: z.number().default(1),
    reason: z.string().default(''),
  }),
  z.strictObject({
    from: z.literal('formula'),
    formula: id,
    args: z.record(z.string(), z.union([z.number(), z.string()])).default({}),
    reason: z.string().default(''),
  }),
  z.strictObject({
    from: z.literal('tube'),
    role: id,
    field: z.string(),
    family: id,
    times: z.number().default(1),
    reason: z.string().default(''),
  }),
  z.strictObject({
    from: z.literal('picture-tube'),
    field: z.string(),
    family: id,
    times: z.number().default(1),
    reason: z.string().default(''),
  }),
]);

const check = z.strictObject({
  title: text,
  phase: id,
  state: z.enum(CHECK_STATES),
  kind: z.enum(['number', 'pair', 'choice']),
  quantity: z.enum(QUANTITIES).default('count'),
  unit: unit.default(''),
  combine: z.enum(['ratio', 'difference']).optional(),
  'pair-labels': z.tuple([text, text]).optional(),
  'pair-least': z.number().positive().optional(),
  needs: z.array(id).default([]),
  where: text,
  meter: z.string().default(''),
  how: z.array(text).default([]),
  why: text,
  cautions: z.array(id).default([]),
  minutes: z.number().positive().max(240),
  access: z
    .enum(['outside', 'back-off', 'chassis-out', 'board-lifted', 'tube-out', 'off-set'])
    .default('back-off'),
  group: id.optional(),
  injects: z.boolean().default(false),
  refits: z.boolean().default(false),
  reference: z.boolean().default(false),
  risky: z.boolean().default(false),
  config: z.record(id, z.string()).default({}),
  'shown-by': z.array(id).default([]),
  before: z.array(id).default([]),
  after: z.array(id).default([]),
  expect: expectation.optional(),
  options: z
    .array(
      z.strictObject({
        id,
        title: text,
        say: z.string().default(''),
        renewed: z.array(text).optional(),
      }),
    )
    .default([]),
  reads: z.array(read).default([]),
  meaning: z.record(id, z.string()).default({}),
  plausible: z.tuple([z.number(), z.number()]).optional(),
  stop: z
    .array(
      z.strictObject({
        above: z.number().optional(),
        below: z.number().optional(),
        option: id.optional(),
        from: z.enum(['power', 'horizontal']).optional(),
        condemns: id.optional(),
        say: text,
      }),
    )
    .default([]),
  method: id.default('meter'),
  'source-ohms': z.number().min(0).default(0),
  source: text.optional(),
  when: condition.optional(),
});

export const sectionFile = z.strictObject({
  section: id,
  title: text,
  describe: text,
  source: text.default('common practice, no source'),
  signals: z.record(id, signal).default({}),
  parts: z.record(id, part).default({}),
  checks: z.record(id, check).default({}),
});

export const familyFile = z.strictObject({
  family: id,
  title: text,
  describe: text,
  aliases: z.array(id).default([]),
  facts: z.record(id, z.string()),
  'rated-volts': z.number().positive(),
  'rated-watts': z.number().positive(),
  values: z.record(
    id,
    z.strictObject({
      value: z.number(),
      unit,
      spread: z.number().min(0).max(1),
      reason: text,
      line: z.enum(['proportional', 'fixed']),
    }),
  ),
  safety: z.array(text),
  source: text,
});

export const priorsFile = z.strictObject({
  source: text,
  /** Share of the written chance, by condition, for parts outside the core assemblies. */
  share: z.strictObject({
    none: z.number().positive().max(1),
    recapped: z.number().positive().max(1),
    unknown: z.number().positive().max(1),
  }),
  kinds: z.record(
    id,
    z.strictObject({
      title: text,
      aged: probability,
      'recapped-factor': z.number().min(0).max(10),
      modes: z.record(id, probability),
      replacement: text,
      source: text.optional(),
    }),
  ),
});

export const packFile = z.strictObject({
  name: text,
  version: z.string().regex(/^\d+\.\d+\.\d+$/, 'a version is three numbers: 1.0.0'),
  phases: z.array(z.strictObject({ id, title: text })).min(1),
  facts: z.array(
    z.strictObject({
      id,
      title: text,
      ask: text,
      values: z.array(z.strictObject({ id, title: text })).min(2),
      when: condition.optional(),
    }),
  ),
  instruments: z.array(z.strictObject({ id, title: text, describe: text })),
  assemblies: z.array(
    z.strictObject({
      id,
      title: text,
      core: z.boolean(),
      when: condition.optional(),
      ceilings: z.array(
        z.strictObject({ grade: z.enum(['serviceable', 'sound']), checks: z.array(id), anyOf: z.array(id) }),
      ),
      decision: text,
      whileLost: z.enum(['cold', 'stage-off']).optional(),
      blamedAfter: z.array(id).default([]),
    }),
  ),
  cautions: z.record(id, text),
});

export const symptomsFile = z.strictObject({
  symptoms: z.record(
    id,
    z.strictObject({
      title: text,
      reads: z.record(id, z.partialRecord(z.enum(['normal', 'high', 'low', 'absent']), probability)),
    }),
  ),
});

export const glossaryFile = z.strictObject({
  terms: z.array(z.strictObject({ us: text, uk: text, means: text.optional() })),
});

export type SectionFile = z.output<typeof sectionFile>;
export type FamilyFile = z.output<typeof familyFile>;
export type PriorsFile = z.output<typeof priorsFile>;
export type PackFile = z.output<typeof packFile>;
export type SymptomsFile = z.output<typeof symptomsFile>;
export type GlossaryFile = z.output<typeof glossaryFile>;
