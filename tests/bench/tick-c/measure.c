// Raw inputs to speeds, openings and pressures, and what of it cannot be believed.
enum { STILL_US = 1000000, FITTABLE = 0x5f, STALE_TICKS = 4, ROAD_LEAST_DECI_KMH = 20 };

static u32 speed_of(const struct shaft *shaft, u32 period_us) {
  return period_us ? least(shaft->factor / period_us, UINT16_MAX) : 0;
}

static u32 trusted(const struct shaft *shaft, u32 fresh) {
  if (shaft->age_us >= STILL_US) return fresh > 1 ? 2 : fresh;
  return least(shaft->trust + least(fresh, 2), 2);
}

static void measure_shaft(struct shaft *shaft, u32 count, u32 edge_us, u32 period_us) {
  u32 fresh = count - shaft->pulses;
  if (shaft->trust < 2 || shaft->age_us >= STILL_US) shaft->trust = trusted(shaft, fresh);
  if (fresh) {
    shaft->pulses = count;
    shaft->age_us = m.now_us - edge_us;
    shaft->pulse_speed = speed_of(shaft, period_us);
    shaft->speed = shaft->trust < 2 ? 0 : shaft->pulse_speed;
  } else {
    shaft->age_us = add_until_full(shaft->age_us, m.dt_us);
  }
  if (!period_us) shaft->trust = least(shaft->trust, 1);
  if (shaft->age_us > period_us) shaft->speed = shaft->trust < 2 ? 0 : speed_of(shaft, shaft->age_us);
}

static bool is_gear(u32 gear, u32 engine_x800) {
  return engine_x800 >= gear_bounds[gear].low * road.speed && engine_x800 < gear_bounds[gear].end * road.speed;
}

static u32 measure_gear(void) {
  if (road.speed < ROAD_LEAST_DECI_KMH) return 0;
  u32 engine_x800 = engine.speed * (100 << GEAR_BITS);
  if (is_gear(m.gear, engine_x800)) return m.gear;
  for (u32 gear = 1; gear <= m.gears; gear++)
    if (is_gear(gear, engine_x800)) return gear;
  return 0;
}

/** Measures one channel; its bit when it is plausible or nothing is fitted there. */
static u32 measure_sensor(u32 channel) {
  struct sensor *s = &sensors[channel];
  if (!s->fitted) return BIT(channel);
  i32 code = inputs.adcA[channel];
  i32 value = (((code - s->zero_code) * s->slope) >> SLOPE_BITS) + s->base;
  s->value = value > 0 ? value : 0;
  return (u32)(code - s->low_code) <= s->codes ? BIT(channel) : 0;
}

static bool measure_sensors(void) {
  u32 slow = m.turn == 3 ? ADC_COOLANT : ADC_BOTTLE + m.turn;
  u32 now = BIT(slow) | BIT(ADC_THROTTLE) | BIT(ADC_MANIFOLD) | (FITTABLE & ~m.sensors_good);
  for (u32 channel = 0; channel < 8; channel++)
    if (now & BIT(channel)) m.sensors_good = (m.sensors_good & ~BIT(channel)) | measure_sensor(channel);
  sensors[ADC_THROTTLE].value = least_signed(sensors[ADC_THROTTLE].value, 1000);
  return m.sensors_good == FITTABLE;
}

/** Bits of the sensors that are not believed, and from bit 16 the code of the lowest of them. */
static u32 doubted_sensors(void) {
  u32 bad = FITTABLE & ~m.sensors_good;
  u32 lowest = 0;
  while (lowest < 7 && !(bad & BIT(lowest))) lowest++;
  return bad | (u32)inputs.adcA[lowest] << 16;
}

static bool measure(void) {
  measure_shaft(&engine, inputs.enginePulses, inputs.engineEdgeUs, inputs.enginePeriodUs);
  measure_shaft(&road, inputs.roadPulses, inputs.roadEdgeUs, inputs.roadPeriodUs);
  if (m.gears) m.gear = measure_gear();
  m.battery_mv = (u32)inputs.adcA[ADC_BATTERY] * SUPPLY_MV_PER_CODE;
  m.supply_mv = (u32)inputs.adcA[ADC_DRIVER_SUPPLY] * SUPPLY_MV_PER_CODE;
  return measure_sensors();
}

static bool one_pattern(void) {
  for (u32 channel = 1; channel < 8; channel++)
    if (inputs.adcA[channel] != inputs.adcA[0]) return false;
  return true;
}

static bool converters_live(void) {
  bool moved = inputs.adcRounds != m.adc_rounds;
  m.adc_rounds = inputs.adcRounds;
  m.adc_stale_ticks = moved ? 0 : least(m.adc_stale_ticks + 1, STALE_TICKS);
  return m.adc_stale_ticks < STALE_TICKS && !inputs.adcMissing && !one_pattern();
}
