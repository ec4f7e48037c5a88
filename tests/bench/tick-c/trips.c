// What trips: faults after which the arm switch must be cycled. What is bad counts BAD, what is good takes back 1.
enum { BAD = 2, SENSOR_TICKS = 3, CONTRADICT_US = 100000, FUEL_TURNS = 2, NO_PRESSURE_KPA = 1000 };
enum { TURN_US = 4 * HG_TICK_US };

static u32 counted(u32 bad, bool good) {
  return good ? bad - least(bad, 1) : least(bad + BAD, SENSOR_TICKS * BAD);
}

static void judge_sensors(bool good, bool adc_good) {
  if (good && adc_good && !(m.sensor_bad | m.adc_bad)) return;
  m.sensor_bad = counted(m.sensor_bad, good);
  m.adc_bad = counted(m.adc_bad, adc_good);
  if (m.adc_bad >= SENSOR_TICKS * BAD) trip(LOCK_ADC, inputs.adcMissing);
  if (m.sensor_bad < SENSOR_TICKS * BAD) return;
  if (m.adc_bad) trip(LOCK_ADC, inputs.adcMissing);
  else trip(LOCK_SENSOR, doubted_sensors());
}

static void judge_lost(void) {
  if (m.mode == MODE_FLOWING) m.engine_lost_watch = 1;
  else if (engine.age_us <= m.dt_us) m.engine_lost_watch = 0;
  if (m.engine_lost_watch && engine_lost()) trip(LOCK_RPM_LOST, engine.age_us);
}

static u32 leaky(u32 us, bool shows) {
  return shows ? add_until_full(us, m.round_us) : us - least(us, m.round_us >> 1);
}

static void judge_bottle(void) {
  if (!SETTING(BOTTLE_PRESENT)) return;
  i32 bottle = sensors[ADC_BOTTLE].value;
  if (bottle > (i32)SETTING(BOTTLE_HIGHEST_KPA_GAUGE)) trip(LOCK_BOTTLE_HIGH, (u32)bottle);
  bool late = m.valve_open_us + TURN_US > SETTING(BOTTLE_VALVE_OPENS_WITHIN_MS) * 1000;
  if (SETTING(BOTTLE_VALVE_PRESENT) && late && bottle < NO_PRESSURE_KPA) trip(LOCK_VALVE, (u32)bottle);
}

static void judge_fuel(void) {
  bool missing = fuel_low() && (m.fuel_low_turns > 0 || m.flowing & m.wet_stages);
  if (missing) m.fuel_low_turns += BAD;
  else if (m.fuel_low_turns) m.fuel_low_turns--;
  if (m.fuel_low_turns > FUEL_TURNS * BAD) trip(LOCK_FUEL_LOW, (u32)sensors[ADC_FUEL].value);
}

static void judge_mixture(void) {
  if (!SETTING(LAMBDA_PRESENT)) return;
  i32 lambda = sensors[ADC_LAMBDA].value;
  bool lean = lambda > (i32)SETTING(LAMBDA_LEANEST_MILLI_LAMBDA);
  if (m.mode == MODE_FLOWING) m.lean_us = leaky(m.lean_us, lean);
  if (m.lean_us + TURN_US > SETTING(LAMBDA_WITHIN_MS) * 1000) trip(LOCK_LEAN, (u32)lambda);
}

static void judge_throttle(void) {
  if (!SETTING(THROTTLE_SWITCH) || !SETTING(THROTTLE_POSITION_PRESENT)) return;
  i32 opening = sensors[ADC_THROTTLE].value;
  bool contradict = inputs.switches & SWITCH_THROTTLE
                        ? opening < (i32)SETTING(THROTTLE_POSITION_CLOSES_AT_PERMILLE)
                        : opening >= (i32)SETTING(THROTTLE_POSITION_OPENS_AT_PERMILLE);
  m.contradict_us = leaky(m.contradict_us, contradict);
  if (m.contradict_us + TURN_US > CONTRADICT_US) trip(LOCK_TPS_SW, (u32)opening);
}

static void judge_values(void) {
  i32 boost = sensors[ADC_MANIFOLD].value;
  if (SETTING(MANIFOLD_OVERBOOST_PRESENT) && boost > (i32)SETTING(MANIFOLD_OVERBOOST_ABOVE_DECI_KPA))
    trip(LOCK_OVERBOOST, (u32)boost);
  switch (m.turn) {
    case 0: judge_bottle(); break;
    case 1: judge_fuel(); break;
    case 2: judge_mixture(); break;
    default: judge_throttle();
  }
}

static void judge_stage(struct stage *stage, const u16 *at) {
  if (stage->flowed_us + 2 * TURN_US > OF_STAGE(at, STAGE_LONGEST_MS) * 1000) trip(LOCK_TIME, stage->flowed_us);
  if (!OF_STAGE(at, STAGE_ENRICHMENT_PRESENT)) return;
  if (stage->share_x32 > 0) stage->unconfirmed_us = leaky(stage->unconfirmed_us, !(inputs.switches & SWITCH_ENRICH));
  if (stage->unconfirmed_us + TURN_US > OF_STAGE(at, STAGE_ENRICHMENT_WITHIN_MS) * 1000)
    trip(LOCK_ENRICH, stage->unconfirmed_us);
}

static void judge_trips(bool sensors_good, bool adc_good) {
  judge_jump();
  judge_driveline();
  if (!is_armed()) {
    if (m.mode == MODE_TRIPPED && adc_good) watch_tripped();
    else forget_drivers();
    return;
  }
  if (adc_good) watch_drivers();
  judge_sensors(sensors_good, adc_good);
  judge_lost();
  if (sensors_good) judge_values();
  if (m.run_flowed_us > SETTING(FLOW_LONGEST_RUN_MS) * 1000) trip(LOCK_TIME, m.run_flowed_us);
  if (m.turn < SETTING(STAGES_COUNT)) judge_stage(&stages[m.turn], stage_settings(m.turn));
}
