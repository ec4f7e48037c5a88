/** Twelve invented cars from 90 kW to 900 kW: wet and dry, four fuels, all three drives. Nobody's cars. */
export const TWELVE_CARS: readonly { readonly name: string; readonly text: string }[] = [
  [
    "Pebble, town hatchback",
    `engine: {power: 90 kW, power-at: 5800 rpm, rev-limiter: 6500 rpm, cylinders: 4}
car: {mass: 1120 kg, driven: front}
fuel: {pump-flow: 120 L/h}
goal: {added-power: 35 hp}`,
  ],
  [
    "Heron, light coupe, dry",
    `engine: {power: 125 kW, power-at: 6600 rpm, rev-limiter: 7200 rpm, cylinders: 4}
car: {mass: 1180 kg, driven: front}
fuel: {ecu-enrichment: yes, injector-flow: 440 cc/min, pump-flow: 190 L/h}
limits: {clutch: 330 Nm}
goal: {added-power: 50 hp}`,
  ],
  [
    "Marten, sports car",
    `engine: {power: 150 kW, power-at: 6800 rpm, rev-limiter: 7500 rpm, cylinders: 4}
car: {mass: 1050 kg, driven: rear, wheelbase: 2.33 m}
tyres: {friction: 1.1}
limits: {rods: 330 Nm}
fuel: {pump-flow: 190 L/h}
goal: {added-power: 60 hp}
controls: {road-pulses: 4000 pulses/km}`,
  ],
  [
    "Ox, pickup with a carburettor",
    `engine: {power: 180 kW, power-at: 4800 rpm, rev-limiter: 5500 rpm, cylinders: 8, intake: carburettor}
car: {mass: 1850 kg, driven: rear, front-weight: 57 %}
gearbox: {ratios: [2.5, 1.5, 1.0], final-drive: 3.7, shift-time: 0.2 s}
fuel: {pump-flow: 255 L/h}
goal: {added-power: 120 hp}`,
  ],
  [
    "Invented coupe",
    `engine: {power: 220 kW, power-at: 6000 rpm, rev-limiter: 6800 rpm, cylinders: 6}
car: {mass: 1500 kg, driven: rear}
fuel: {pump-flow: 255 L/h, injector-flow: 440 cc/min}
limits: {rods: 600 Nm, clutch: 650 Nm}
goal: {added-power: 125 hp}
controls: {road-pulses: 4000 pulses/km}`,
  ],
  [
    "Gannet, turbocharged, E85",
    `engine: {power: 260 kW, power-at: 6200 rpm, rev-limiter: 7200 rpm, cylinders: 4, boost: 20 psi gauge,
  torque-curve: [[2000 rpm, 220 Nm], [3000 rpm, 390 Nm], [4500 rpm, 440 Nm], [6200 rpm, 400 Nm], [7200 rpm, 300 Nm]]}
car: {mass: 1480 kg, driven: all}
fuel: {kind: E85, pressure: 63 psi gauge, pump-flow: 400 L/h}
limits: {gearbox: 620 Nm}
goal: {added-power: 75 hp}
controls: {road-pulses: 4500 pulses/km}`,
  ],
  [
    "Bramble, street V8",
    `engine: {power: 320 kW, power-at: 6300 rpm, rev-limiter: 7000 rpm, cylinders: 8}
car: {mass: 1680 kg, driven: rear}
tyres: {friction: 1.2}
limits: {rods: 800 Nm, gearbox: 850 Nm}
fuel: {pump-flow: 255 L/h}
goal: {added-power: 150 hp}
controls: {road-pulses: 4000 pulses/km}`,
  ],
  [
    "Bramble again, for 11.7 s",
    `engine: {power: 320 kW, power-at: 6300 rpm, rev-limiter: 7000 rpm, cylinders: 8}
car: {mass: 1680 kg, driven: rear}
tyres: {friction: 1.6}
fuel: {pump-flow: 255 L/h}
goal: {quarter-mile: 11.7 s}
controls: {road-pulses: 4000 pulses/km}`,
  ],
  [
    "Kestrel, ethanol, dry",
    `engine: {power: 240 kW, power-at: 7200 rpm, rev-limiter: 8000 rpm, cylinders: 6}
car: {mass: 1350 kg, driven: rear}
fuel: {kind: ethanol, ecu-enrichment: yes, injector-flow: 1000 cc/min, pump-flow: 450 L/h}
tyres: {friction: 1.2}
goal: {added-power: 80 hp, system: dry}`,
  ],
  [
    "Anvil, bracket car",
    `engine: {power: 450 kW, power-at: 6800 rpm, rev-limiter: 7500 rpm, cylinders: 8, intake: carburettor}
car: {mass: 1400 kg, driven: rear, front-weight: 50 %, gravity-height: 0.5 m}
gearbox: {ratios: [1.8, 1.0], final-drive: 4.3, shift-time: 0.1 s, launch-at: 4500 rpm}
tyres: {size: 710 mm, friction: 2.0}
fuel: {pump-flow: 450 L/h}
goal: {added-power: 250 hp}
controls: {road-pulses: 3000 pulses/km, road-sender: undriven-wheel}`,
  ],
  [
    "Tern, methanol, four cylinders",
    `engine: {power: 400 kW, power-at: 8200 rpm, rev-limiter: 9000 rpm, cylinders: 4, boost: 30 psi gauge,
  torque-curve: [[3000 rpm, 250 Nm], [4500 rpm, 430 Nm], [6500 rpm, 500 Nm], [8200 rpm, 466 Nm], [9000 rpm, 380 Nm]]}
car: {mass: 950 kg, driven: front, front-weight: 64 %}
fuel: {kind: methanol, pressure: 90 psi gauge, pump-flow: 600 L/h}
tyres: {friction: 1.7}
goal: {added-power: 100 hp}
controls: {road-pulses: 4000 pulses/km}`,
  ],
  [
    "Basalt, drag car, methanol",
    `engine: {power: 900 kW, power-at: 7600 rpm, rev-limiter: 8500 rpm, cylinders: 8}
car: {mass: 1150 kg, driven: rear, front-weight: 48 %, gravity-height: 0.4 m, wheelbase: 2.8 m}
gearbox: {ratios: [1.7, 1.0], final-drive: 4.1, shift-time: 0.05 s, launch-at: 5000 rpm}
tyres: {size: 800 mm, friction: 2.6}
fuel: {kind: methanol, pressure: 60 psi gauge, pump-flow: 1500 L/h}
nitrous: {charge: 15 lb}
goal: {added-power: 300 hp}
controls: {road-pulses: 2500 pulses/km, road-sender: undriven-wheel}`,
  ],
].map(([name, text]) => ({ name: name!, text: `name: "${name}"\n${text}\n` }));
