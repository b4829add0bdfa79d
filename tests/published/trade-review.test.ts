// The rule pack against the rules of work at a live or charged television set: what no check may ever ask for, and what must stand beside it.
// Source of every property: common practice of the trade, no source, unless one is named beside it.
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { compileNetwork } from '../../src/diagnosis/index.ts';
import { factsOf, holds } from '../../src/rulebook/facts.ts';
import { loadRules } from '../../src/rulebook/index.ts';
import type { Check, Family, Rulebook, SetFacts } from '../../src/rulebook/types.ts';

const { book: loaded, problems } = loadRules(join(import.meta.dirname, '../../rules'));
if (!loaded) throw new Error(problems.map((p) => `${p.file}:${p.line} ${p.message}`).join('\n'));
const book: Rulebook = loaded;
const checks = book.checks;

const isLive = (check: Check): boolean => check.state === 'S1' || check.state === 'S2';
const place = (check: Check): string => [check.where, check.meter, ...check.how].join(' | ');
const words = (check: Check): string =>
  [
    check.title,
    place(check),
    check.why,
    ...Object.values(check.meaning),
    ...check.options.flatMap((option) => [option.title, option.say]),
    ...check.stop.map((rule) => rule.say),
  ].join(' | ');

/** Ids of the checks that break a rule; an empty list is the only good one. */
const breaking = (wrong: (check: Check) => boolean, among: readonly Check[] = checks): readonly string[] =>
  among.filter(wrong).map((check) => check.id);

/** Where a phrase stands without its denial in the same sentence. */
function undenied(text: string, phrase: RegExp): readonly string[] {
  return text
    .split(/[.;|]/)
    .filter((sentence) => phrase.test(sentence) && !/\b(never|not|no|nobody|without)\b/i.test(sentence));
}

describe('what no text may ask for', () => {
  it('no finger or screwdriver as a probe, no arc drawn, no interlock jumped', () => {
    const forbidden =
      /screwdriver|finger (on|to)\b|fingers? at the|\bdraw\w* (an )?arc|\barc\b.*\b(to|from) the (chassis|cap)|jump\w* the interlock|bridge\w* the interlock/i;
    expect(breaking((check) => undenied(words(check), forbidden).length > 0)).toEqual([]);
  });

  it('nothing is plugged, pulled, bridged or felt for heat live', () => {
    const touch =
      /\b(back of the hand|feel\b|swap|changed\b|tube out|unplug|plug out|lifted|taken out|tacked|clipped across)/i;
    const cold = /\bS0\b|cold|unplugged|proven/;
    const asks = checks.filter((check) => isLive(check) && touch.test(place(check)));
    expect(asks.length).toBeGreaterThan(20);
    expect(
      breaking((check) => !cold.test(place(check)) && !check.cautions.includes('never-live'), asks),
    ).toEqual([]);
  });

  it('back of the hand only at a set that is off and proven', () => {
    expect(
      breaking((check) => isLive(check) && undenied(place(check), /back of the hand/i).length > 0),
    ).toEqual([]);
  });

  it('no earth wire is cut, no earthed instrument is clipped to a live set', () => {
    const scopes = checks.filter((check) => isLive(check) && check.needs.includes('oscilloscope'));
    expect(scopes.length).toBeGreaterThan(5);
    expect(breaking((check) => !check.cautions.includes('earthed-scope'), scopes)).toEqual([]);
    expect(book.cautions['earthed-scope']).toMatch(/no earth wire is ever cut/);
    const floated = /(float|cut|lift|break)\w* (its|the) (earth|ground)/i;
    expect(breaking((check) => undenied(words(check), floated).length > 0)).toEqual([]);
  });

  it('nobody says "safe" of a set', () => {
    const texts = [
      ...checks.map((check): [string, string] => [check.id, words(check)]),
      ...Object.entries(book.cautions),
      ...book.families.flatMap((family) =>
        [family.title, family.describe, ...family.safety].map((text): [string, string] => [family.id, text]),
      ),
      ...book.parts.flatMap((part) =>
        [part.title, part.remedy.action, part.remedy.parts, part.remedy.caution].map(
          (text): [string, string] => [part.id, text],
        ),
      ),
      ...book.assemblies.map((assembly): [string, string] => [assembly.id, assembly.decision]),
    ];
    const said = texts.filter(([, text]) => undenied(text, /\bsafe(ly)?\b/i).length > 0);
    expect(said.map(([id]) => id)).toEqual([]);
    expect(texts.filter(([, text]) => /variac/i.test(text)).map(([id]) => id)).toEqual([]);
  });
});

describe('live readings', () => {
  const live = checks.filter(isLive);

  it('name their return', () => {
    const electrical = live.filter(
      (check) =>
        check.kind !== 'choice' &&
        ['dc-volts', 'ac-volts', 'pp-volts', 'hv-volts', 'hertz', 'amps'].includes(check.quantity),
    );
    expect(electrical.length).toBeGreaterThan(60);
    const named =
      /\bB-|\breturn\b|own terminals|\bacross\b|heater pins|line input|cathode resistor|to cathode|to chassis|centre tap|in series with|own plug|same clips|as for|as before/i;
    expect(breaking((check) => !named.test(place(check)), electrical)).toEqual([]);
  });

  it('one whose two leads are both off B- is clipped cold, hands off', () => {
    const floating = live.filter((check) => check.cautions.includes('meter-floats'));
    expect(floating.length).toBeGreaterThan(5);
    expect(breaking((check) => !/proven dead|before power/.test(place(check)), floating)).toEqual([]);
  });

  it('keep every ordinary meter off plate cap, damper cathode, HV rectifier cap and flyback taps', () => {
    const point = /plate cap|plate lead|top cap|damper cathode|rectifier cap|flyback tap|yoke hot end/i;
    const metered = live.filter((check) =>
      check.needs.some((need) => /dmm|analog-meter|true-rms|oscilloscope/.test(need)),
    );
    const enabled = metered.filter((check) => check.config.horizontal !== 'disabled');
    const at = (check: Check) => undenied(check.where, point).concat(undenied(check.meter, point));
    expect(breaking((check) => at(check).length > 0, enabled)).toEqual([]);
    const disabled = metered.filter(
      (check) => check.config.horizontal === 'disabled' && at(check).length > 0,
    );
    expect(breaking((check) => !/\boff\b/.test(check.where), disabled)).toEqual([]);
  });

  it('boost is read at its quiet end, with a meter that stands it', () => {
    const boost = live.filter((check) => /^boost/.test(check.id));
    expect(boost.length).toBeGreaterThan(1);
    expect(breaking((check) => !check.cautions.includes('boost-meter'), boost)).toEqual([]);
    expect(book.cautions['boost-meter']).toMatch(/quiet end.*1 kV/);
  });

  it('the focus electrode is metered only where its volts are low', () => {
    const focus = live.filter((check) => /focus.*volts/.test(check.id) && !check.needs.includes('hv-probe'));
    expect(focus.length).toBeGreaterThan(0);
    expect(breaking((check) => check.when?.focus?.join() !== 'low-v', focus)).toEqual([]);
  });

  it('nothing is injected from a heater pin: in a series string it may stand at line voltage', () => {
    const pin = /(from|through|off) (a|the) (6\.3 V )?heater pin|6\.3 V heater pin/i;
    expect(
      breaking(
        (check) => undenied(place(check), pin).length > 0 && check.when?.heaters?.join() !== 'parallel',
        live,
      ),
    ).toEqual([]);
  });

  it('a capacitor lifted out of a vertical circuit is read with the beam off', () => {
    const lifted = live.filter(
      (check) => check.method === 'lifted-end' && check.section.startsWith('vertical'),
    );
    expect(lifted.length).toBeGreaterThan(3);
    expect(breaking((check) => check.config.horizontal !== 'disabled', lifted)).toEqual([]);
  });
});

describe('anode voltage', () => {
  const kilovolts = checks.filter((check) => check.quantity === 'hv-volts');

  it('is read with a probe whose return is clipped first, on supplies that limit their current', () => {
    expect(kilovolts.length).toBeGreaterThan(2);
    for (const check of kilovolts) {
      expect(check.needs, check.id).toContain('hv-probe');
      expect(check.cautions, check.id).toEqual(expect.arrayContaining(['probe-return', 'anode', 'xray']));
      expect(check.when?.hv, check.id).not.toContain('line');
      expect(check.when?.['set-kind'], check.id).not.toContain('projection');
      expect(check.when?.['set-kind'], check.id).not.toContain('electrostatic');
      expect(check.unit, check.id).toBe('kV');
      expect(
        check.stop.some((rule) => rule.above !== undefined && rule.above <= 22_000),
        check.id,
      ).toBe(true);
    }
  });

  it('nobody holds a probe in the cage, and no hand goes to the screen of a live set', () => {
    const hand = /hand on the (screen|face)|hold\w* the probe|hair on the back/i;
    expect(breaking((check) => undenied(words(check), hand).length > 0)).toEqual([]);
  });

  it('hands go to lead, neck or yoke only with the anode caution beside them', () => {
    const near = checks.filter(
      (check) =>
        check.state === 'S0' &&
        ['picture-tube', 'yoke', 'high-voltage'].includes(check.section) &&
        ['back-off', 'chassis-out'].includes(check.access),
    );
    expect(near.length).toBeGreaterThan(15);
    expect(breaking((check) => !check.cautions.includes('anode'), near)).toEqual([]);
  });

  it('loads are shed from the flyback of an ordinary set only', () => {
    const shed = checks.filter((check) =>
      ['shed-load-hv', 'shed-load-anode', 'shed-load-yoke'].includes(check.id),
    );
    expect(shed.length).toBe(3);
    expect(breaking((check) => check.when?.['set-kind']?.includes('projection') !== false, shed)).toEqual([]);
    const yoke = shed.find((check) => check.id === 'shed-load-yoke');
    expect(yoke && place(yoke)).toMatch(/no beam.*10 s at most/is);
    expect(yoke?.cautions).toContain('spot-burn');
  });
});

describe('charge', () => {
  it('whatever puts charge into the set says so, so that the proof of discharge lapses', () => {
    const charging = [
      'capacitor-leakage-tester',
      'insulation-tester',
      'picture-tube-tester',
      'bench-hv-supply',
    ];
    const inject = checks.filter(
      (check) => check.state === 'S0' && check.needs.some((need) => charging.includes(need)),
    );
    expect(inject.length).toBeGreaterThan(25);
    expect(breaking((check) => !check.injects, inject)).toEqual([]);
    expect(breaking((check) => !check.cautions.includes('injects'), inject)).toEqual([]);
  });

  it('a ring tester is one of a few volts; where another is used, the proof lapses all the same', () => {
    const rings = checks.filter((check) => check.needs.includes('ring-tester'));
    expect(rings.length).toBeGreaterThan(2);
    expect(breaking((check) => !check.cautions.includes('ring-volts'), rings)).toEqual([]);
    expect(book.instruments.find((i) => i.id === 'ring-tester')?.describe).toMatch(/less than 50 V/);
    expect(book.cautions['ring-volts']).toMatch(/over|more/);
  });

  it('what is only looked at is not touched, and no chassis is pulled before it is proven dead', () => {
    const looks = checks.filter((check) => check.state === 'any');
    expect(looks.length).toBeGreaterThan(10);
    expect(breaking((check) => !['outside', 'back-off'].includes(check.access), looks)).toEqual([]);
    expect(breaking((check) => check.needs.length > 0, looks)).toEqual([]);
    expect(
      breaking(
        (check) => check.access === 'back-off' && !/look-only|local-codes/.test(check.cautions.join()),
        looks,
      ),
    ).toEqual([]);
  });

  it('a tube leaves only a set that is proven dead', () => {
    expect(breaking((check) => check.access === 'tube-out' && ['any', 'SB'].includes(check.state))).toEqual(
      [],
    );
  });

  it('is looked for across each capacitor, and in a dead set above all', () => {
    expect(book.cautions['each-capacitor']).toMatch(/own terminals/);
    const doublers = book.families.filter((family) => /doubler/.test(family.facts.topology ?? ''));
    expect(doublers.length).toBeGreaterThan(2);
    for (const family of doublers) expect(family.safety.join(' '), family.id).toMatch(/own terminals/);
    const string = checks.find((check) => check.id === 'heater-string-ohms');
    expect(Object.values(string?.meaning ?? {}).join(' ')).toMatch(/B\+ may be charged/);
  });
});

describe('what protects a part comes first', () => {
  it('the drive is read with the stage disabled, before it is ever enabled', () => {
    for (const id of [
      'horizontal-output-grid-drive',
      'horizontal-output-drive-pp',
      'horizontal-output-plate-feed',
    ]) {
      const check = checks.find((one) => one.id === id);
      expect(check?.config.horizontal, id).toBe('disabled');
      expect(check?.before, id).toContain('horizontal-enabled');
    }
    const drive = checks.find((one) => one.id === 'horizontal-output-grid-drive');
    expect(drive && place(drive)).toMatch(/tube in and hot.*cathode connected.*screen feed open/is);
    expect(drive?.cautions).toContain('no-drive');
  });

  it('no reading of lamp, heaters or B+ is taken with the horizontal stage on a slow ramp', () => {
    const ramp = checks.filter((check) => check.state === 'S1');
    expect(breaking((check) => check.config.horizontal !== 'disabled', ramp)).toEqual([]);
  });

  it('the antenna terminals of a hot set are proven before full power', () => {
    const antenna = checks.filter((check) => /^antenna-(isolation|terminal)-ohms$/.test(check.id));
    expect(antenna.map((check) => check.needs.join())).toEqual(
      expect.arrayContaining(['dmm', 'insulation-tester']),
    );
    expect(breaking((check) => !check.before.includes('power-full'), antenna)).toEqual([]);
  });

  it('a lit line or spot is answered with the brightness, at once', () => {
    const lines = checks.flatMap((check) =>
      check.options
        .filter(() => isLive(check) && /^(raster|picture)-/.test(check.id))
        .filter((option) => /\bsingle (horizontal )?line\b|vertical line|\bline or spot\b/.test(option.title))
        .map((option) => ({ check, option })),
    );
    expect(lines.length).toBeGreaterThan(2);
    for (const { check, option } of lines) {
      const stop = check.stop.find((rule) => rule.option === option.id)?.say ?? '';
      expect(`${option.say} ${stop}`, `${check.id} ${option.id}`).toMatch(/brightness down now/i);
    }
  });

  it('an answer that says "off" stops the power, it does not only say so', () => {
    const said = checks.flatMap((check) =>
      check.options
        .filter((option) => isLive(check) && /^(power )?off\b/i.test(option.say))
        .filter((option) => !check.stop.some((rule) => rule.option === option.id))
        .map((option) => `${check.id} ${option.id}`),
    );
    expect(said).toEqual([]);
  });

  it('red plate, glowing screen, smoke, lamp full on and currents over any limit are stops', () => {
    const stops = (id: string) => checks.find((check) => check.id === id)?.stop ?? [];
    expect(stops('horizontal-output-plate-look').map((rule) => rule.option)).toEqual(['red', 'screen-glows']);
    expect(stops('bring-up-lamp').map((rule) => rule.option)).toEqual(['bright', 'rising', 'smell']);
    expect(stops('soak-60').map((rule) => rule.option)).toEqual(expect.arrayContaining(['smell', 'corona']));
    const current = stops('horizontal-output-cathode-current')[0]?.above ?? Number.POSITIVE_INFINITY;
    const limits = book.tubes.flatMap((tube) => tube.numbers.cathode_mA_max_avg ?? []);
    expect(current * 1000).toBeLessThanOrEqual(Math.max(...limits));
    expect(stops('b-plus-horizontal-off')[0]?.above).toBeLessThanOrEqual(500);
  });

  it('what can finish a part asks for consent', () => {
    const consent = checks.filter((check) => /consent/i.test(place(check)));
    expect(consent.length).toBeGreaterThan(1);
    expect(breaking((check) => !check.risky, consent)).toEqual([]);
    expect(breaking((check) => check.risky && !/consent/i.test(place(check)))).toEqual([]);
  });

  it('no core of an IF, trap or sound coil is turned', () => {
    const turn = /\b(turn|adjust|peak|tweak|set)\w* (the |a )?(core|slug|trap)s?\b/i;
    const coils = checks.filter((check) => ['picture-if', 'video-detector', 'sound'].includes(check.section));
    expect(breaking((check) => undenied(place(check), turn).length > 0, coils)).toEqual([]);
  });
});

describe('what cold checks cannot prove', () => {
  it('no winding and no tube is sound without running hot', () => {
    for (const assembly of book.assemblies) {
      const sound = assembly.ceilings.filter((ceiling) => ceiling.grade === 'sound');
      expect(sound.length, assembly.id).toBeGreaterThan(0);
      for (const ceiling of sound) {
        const running = ceiling.checks.filter(
          (id) => checks.find((check) => check.id === id)?.state === 'S2',
        );
        expect(running.length, assembly.id).toBeGreaterThan(0);
      }
    }
  });

  it('ohms alone make no core part serviceable', () => {
    for (const assembly of book.assemblies) {
      for (const ceiling of assembly.ceilings) {
        const by = [...ceiling.checks, ...ceiling.anyOf].map((id) => checks.find((check) => check.id === id));
        expect(
          by.every((check) => check !== undefined),
          assembly.id,
        ).toBe(true);
        expect(
          by.some((check) => check?.state === 'S0' && check.quantity === 'ohms'),
          assembly.id,
        ).toBe(false);
      }
    }
  });

  it('an ohmmeter reading never says "isolated"', () => {
    const blades = checks.find((check) => check.id === 'blade-chassis-ohms');
    expect(blades && words(blades)).toMatch(/never proves ISOLATED/);
    expect(blades?.meaning.open).toMatch(/treat as hot/);
  });
});

/** A set of which only the family is known. */
function unknownSet(family: Family): SetFacts {
  return {
    name: 'invented',
    owner: '',
    question: '',
    family: family.id,
    standard: family.facts.mains === '50hz' ? '405' : '525',
    lineVolts: family.ratedVolts,
    ratedVolts: family.ratedVolts,
    ratedWatts: 0,
    pictureTube: 'unknown',
    tubes: {},
    complaint: [],
    restored: 'unknown',
    storage: 'unknown',
    facts: {},
    serviceData: {},
  };
}

/** Signals that a fault can be seen in: those that it acts on and all that they feed. */
function downstream(from: readonly string[], facts: Readonly<Record<string, string>>): ReadonlySet<string> {
  const reached = new Set(from);
  for (let grown = -1; grown !== reached.size; ) {
    grown = reached.size;
    for (const signal of book.signals) {
      const fed = signal.inputs.some((input) => reached.has(input.signal) && holds(input.when, facts));
      if (fed && holds(signal.when, facts)) reached.add(signal.id);
    }
  }
  return reached;
}

describe.each(book.families.map((family) => [family.id, family] as const))(
  'family %s, nothing else known',
  (_, family) => {
    const set = unknownSet(family);
    const facts = factsOf(book, set);
    const usable = checks.filter((check) => holds(check.when, facts));

    it('can be reasoned about', () => {
      const network = compileNetwork(book, set);
      expect(network.parts.size).toBeGreaterThan(200);
    });

    it('has a check for every fault, with instruments that exist', () => {
      const known = new Set(book.instruments.map((instrument) => instrument.id));
      expect(breaking((check) => check.needs.some((need) => !known.has(need)), usable)).toEqual([]);
      const readSignals = new Set(
        usable.flatMap((check) => check.reads.flatMap((read) => read.signal ?? [])),
      );
      const unseen = book.parts
        .filter((part) => holds(part.when, facts))
        .flatMap((part) =>
          part.faults
            .filter((fault) => {
              const direct = usable.some((check) =>
                check.reads.some((read) => {
                  if (read.part !== part.id) return false;
                  return read.scale === 'choice' ? fault.id in read.table : fault.id in read.bands;
                }),
              );
              const seen = downstream(Object.keys(fault.effects), facts);
              return !direct && ![...seen].some((signal) => readSignals.has(signal));
            })
            .map((fault) => `${part.id}/${fault.id}`),
        );
      expect(unseen).toEqual([]);
    });
  },
);
