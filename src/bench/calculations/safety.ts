// Calculations on limits that protect people.
import { define } from '../calculation.ts';
import { phantomVolts } from '../leakage.ts';
import {
  anodeCeiling,
  benchFuseAmps,
  coldLeakage,
  exposedMetalLeakage,
  isolationTransformerVa,
  RATINGS,
} from '../safety-limits.ts';

const YES_NO = ['yes', 'no'] as const;
const MANUALS = 'safety check-out pages of receiver service manuals (several makers agree)';

export const safetyCalculations = [
  define({
    name: 'isolation-transformer',
    title: 'Size of the isolation transformer',
    summary: 'Volt-amperes needed for a set; half-wave sets need more because they draw direct current.',
    inputs: [
      { name: 'ratedWatts', unit: 'W', description: 'nameplate watts', min: 1, max: 2000 },
      {
        name: 'halfWave',
        unit: '',
        description: 'half-wave rectifier straight from the line',
        choices: YES_NO,
        default: 'no',
      },
    ],
    outputs: [
      { name: 'minimumVa', unit: 'VA', description: 'least rating' },
      { name: 'chooseVa', unit: 'VA', description: 'next usual size' },
      { name: 'reason', unit: '', description: 'why' },
    ],
    source: 'common practice, no source: 1.5 times, half-wave 2.5 times the nameplate',
    example: { ratedWatts: 160, halfWave: 'yes' },
    run: (a) => ({ ...isolationTransformerVa({ ratedWatts: a.ratedWatts, halfWave: a.halfWave === 'yes' }) }),
  }),
  define({
    name: 'bench-fuse',
    title: 'Bench fuse for full-line readings',
    summary: 'Time-lag fuse in the line to the set once the limiter is out.',
    inputs: [
      { name: 'ratedWatts', unit: 'W', description: 'nameplate watts', min: 1, max: 2000 },
      { name: 'lineVolts', unit: 'V', description: 'line', min: 20, max: 300 },
    ],
    outputs: [{ name: 'amps', unit: 'A', description: 'fuse, time-lag' }],
    source: 'common practice, no source: 1.5 times the nameplate current',
    example: { ratedWatts: 190, lineVolts: 117 },
    run: (a) => ({ amps: benchFuseAmps(a.ratedWatts, a.lineVolts) }),
  }),
  define({
    name: 'exposed-metal-leakage',
    title: 'Leakage of exposed metal, finished set',
    summary:
      'Current to earth from the volts across 1500 ohm and 0.15 uF; closed set only, both plug directions.',
    inputs: [
      { name: 'volts', unit: 'V', description: 'volts rms across the network', min: 0, max: 300 },
      { name: 'frequencyHz', unit: 'Hz', description: 'line frequency', min: 40, max: 70, default: 60 },
      { name: 'meterPercent', unit: '%', description: 'meter accuracy', max: 20, default: 2 },
    ],
    outputs: [
      { name: 'resistorAmps', unit: 'A', description: 'current in the resistor (limit 0.5 mA)' },
      { name: 'totalAmps', unit: 'A', description: 'with the current in the capacitor' },
      { name: 'plusMinusVolts', unit: 'V', description: 'doubt of the reading' },
      { name: 'verdict', unit: '', description: 'limit 0.75 V' },
    ],
    source: MANUALS,
    example: { volts: '0.3' },
    run: (a) => ({ ...exposedMetalLeakage(a.volts, a.frequencyHz, a.meterPercent) }),
  }),
  define({
    name: 'cold-leakage',
    title: 'Cold leakage check',
    summary: 'Joined plug blades against exposed metal, set unplugged.',
    inputs: [
      { name: 'ohms', unit: 'ohm', description: 'reading' },
      {
        name: 'returnToChassis',
        unit: '',
        description: 'the metal has a return path to chassis',
        choices: YES_NO,
      },
    ],
    outputs: [
      { name: 'verdict', unit: '', description: '1 to 5.2 Mohm with a return path, infinite without' },
    ],
    source: MANUALS,
    example: { ohms: '2.2M', returnToChassis: 'yes' },
    run: (a) => ({ verdict: coldLeakage(a.ohms, a.returnToChassis === 'yes') }),
  }),
  define({
    name: 'anode-ceiling',
    title: 'Ceiling of the anode voltage',
    summary:
      'X-ray ceiling from the tube rating; above it switch off, between rating and ceiling find out why.',
    inputs: [
      {
        name: 'ratedVolts',
        unit: 'V',
        description: 'anode rating of the picture tube',
        min: 1000,
        max: 30000,
      },
      { name: 'rating', unit: '', description: 'rating system of that figure', choices: RATINGS },
      {
        name: 'readingVolts',
        unit: 'V',
        description: 'anode volts read with the high-voltage probe',
        min: 0,
        max: 50000,
      },
      { name: 'probePercent', unit: '%', description: 'accuracy of probe and meter', max: 20, default: 3 },
    ],
    outputs: [
      { name: 'ceilingVolts', unit: 'V', description: 'ceiling' },
      { name: 'plusMinusVolts', unit: 'V', description: 'doubt of the reading' },
      { name: 'verdict', unit: '', description: 'what to do' },
    ],
    source: 'common practice, no source: 110 % of design-center, 100 % of design-maximum',
    example: { ratedVolts: '18k', rating: 'design-center', readingVolts: '18.4k' },
    run: (a) => ({ ...anodeCeiling(a.ratedVolts, a.rating, a.readingVolts, a.probePercent) }),
  }),
  define({
    name: 'phantom-volts',
    title: 'Phantom volts on an isolated chassis',
    summary: 'What winding capacitance alone makes a meter show between isolated chassis and earth.',
    inputs: [
      { name: 'lineVolts', unit: 'V', description: 'line', min: 20, max: 300 },
      { name: 'windingFarads', unit: 'F', description: 'capacitance between the windings', default: '1n' },
      { name: 'meterOhms', unit: 'ohm', description: 'meter with whatever is across it' },
      { name: 'frequencyHz', unit: 'Hz', description: 'line frequency', min: 40, max: 70, default: 60 },
    ],
    outputs: [
      { name: 'volts', unit: 'V', description: 'volts shown at most' },
      { name: 'shortAmps', unit: 'A', description: 'current into a short' },
    ],
    source: 'capacitive divider (circuit theory)',
    example: { lineVolts: 117, windingFarads: '1n', meterOhms: '100k' },
    run: (a) => ({
      ...phantomVolts({
        lineVolts: a.lineVolts,
        windingFarads: a.windingFarads,
        meterOhms: a.meterOhms,
        frequencyHz: a.frequencyHz,
      }),
    }),
  }),
];
