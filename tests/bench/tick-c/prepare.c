// Works out, once for each settings block, what a tick would otherwise have to divide by or look up.
enum { SENSOR_FULL_MV = 5000, SLOPE_BITS = 14, GEAR_BITS = 3 };

static i32 code_of(u32 mv) { return (i32)((mv << 12) / SENSOR_FULL_MV); }

static void calibrate(u32 channel, const u16 *points, const u16 *plausible) {
  struct sensor *s = &sensors[channel];
  s->fitted = 1;
  s->zero_code = code_of(points[0]);
  s->slope = ((i32)(points[3] - points[1]) << SLOPE_BITS) / (code_of(points[2]) - s->zero_code);
  s->base = points[1];
  s->low_code = code_of(plausible[0]);
  s->codes = (u32)(code_of(plausible[1]) - s->low_code);
}

static void two_point(u32 channel, u32 present_at) {
  const u16 *group = &settings[present_at / 2];
  if (group[0]) calibrate(channel, group + 1, group + 5);
}

static void prepare_sensors(void) {
  two_point(ADC_MANIFOLD, MANIFOLD_PRESENT);
  two_point(ADC_BOTTLE, BOTTLE_PRESENT);
  two_point(ADC_FUEL, FUEL_PRESENT);
  two_point(ADC_LAMBDA, LAMBDA_PRESENT);
  static const u16 millivolts[] = {0, 0, SENSOR_FULL_MV, SENSOR_FULL_MV};
  if (SETTING(COOLANT_PRESENT)) calibrate(ADC_COOLANT, millivolts, &settings[COOLANT_AT / 2]);
  if (!SETTING(THROTTLE_POSITION_PRESENT)) return;
  const u16 *at = &settings[THROTTLE_POSITION_AT / 2];
  const u16 opening[] = {at[0], 0, at[1], 1000};
  calibrate(ADC_THROTTLE, opening, at + 2);
}

/** A ratio that fits two gears counts as the lower one. */
static void prepare_gears(void) {
  m.gears = SETTING(GEARBOX_PRESENT) ? SETTING(GEARBOX_GEARS_COUNT) : 0;
  u32 below = UINT16_MAX;
  for (u32 g = 1; g <= m.gears; g++) {
    u32 ratio = SETTING(GEARBOX_GEARS_FIRST + 2 * (g - 1)) << GEAR_BITS;
    u32 off = ratio * SETTING(GEARBOX_TOLERANCE_PERMILLE) / 1000;
    gear_bounds[g].low = (u16)(ratio - off);
    gear_bounds[g].end = (u16)least(ratio + off + 1, below);
    below = ratio - off;
  }
}

static void add_solenoid(const u16 *times, u32 channel) {
  m.solenoids |= BIT(channel);
  if (least(least(times[0], times[1]), times[2]) < 3 * TRY_US) m.opens_slowly = 0;
  if (times[3] < 3 * GAP_US) m.closes_slowly = 0;
}

static void prepare_stages(void) {
  m.closes_slowly = m.opens_slowly = 1;
  for (u32 s = 0; s < SETTING(STAGES_COUNT); s++) {
    const u16 *at = stage_settings(s);
    u32 wet = OF_STAGE(at, STAGE_FUEL_SOLENOID_PRESENT);
    m.portions += OF_STAGE(at, STAGE_PORTION_PERMILLE);
    m.wet_stages |= wet << s;
    add_solenoid(at + STAGE_NITROUS_SOLENOID_AT / 2, 2 * s);
    if (wet) add_solenoid(at + STAGE_FUEL_SOLENOID_AT / 2, 2 * s + 1);
  }
  for (u32 s = 0; s < STAGES; s++) {
    const u16 *first = &stage_settings(s)[(STAGE_RAMPS_FIRST + RAMP_POINTS_FIRST) / 2];
    for (u32 r = 0; r < RAMPS_PER_STAGE; r++) ramp_place[s][r] = first + r * (STAGE_RAMPS_STRIDE / 2);
  }
}

static void prepare_windows(void);

static void prepare(void) {
  engine.factor = 120000000u / SETTING(ENGINE_PULSES_HALF_PULSES);
  road.factor = SETTING(ROAD_PRESENT) ? 3600000000u / SETTING(ROAD_PULSES_PER_KM) * 10 : 0;
  m.uneven_x64k = (SETTING(ENGINE_JUMP_UNEVENNESS_PERMILLE) << 16) / 1000;
  m.period_steps = 1000000u / PWM_STEP_US / SETTING(FLOW_FREQUENCY_HZ);
  m.kick = SETTING(CLAMPS_PRESENT) ? SETTING(CLAMPS_KICK_MV) / SUPPLY_MV_PER_CODE : 0;
  u32 periods = SETTING(FLOW_FREQUENCY_HZ) / 8;
  m.pattern_periods = periods > 3 ? 3 : periods;
  prepare_stages();
  prepare_sensors();
  prepare_gears();
  prepare_windows();
}
