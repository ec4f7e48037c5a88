// What trips: faults after which the arm switch must be cycled, and the two watches of how fast the shafts change.
enum { SENSOR_TICKS = 3, LARGEST_MOVE = 3600, CONTRADICT_US = 100000, FUEL_TURNS = 2, NO_PRESSURE_KPA = 1000 };
enum { TURN_US = 4 * HG_TICK_US, JUDGED_APART_US = 60000 };

static void judge_sensors(bool good, bool adc_good) {
  m.sensor_bad = good ? 0 : least(m.sensor_bad + 1, SENSOR_TICKS);
  m.adc_bad = adc_good ? 0 : least(m.adc_bad + 1, SENSOR_TICKS);
  if (m.adc_bad >= SENSOR_TICKS) trip(LOCK_ADC, inputs.adcMissing);
  u32 first_codes = inputs.adcA[0] | (u32)inputs.adcA[1] << 16;
  if (m.sensor_bad >= SENSOR_TICKS) trip(m.adc_bad ? LOCK_ADC : LOCK_SENSOR, first_codes);
}

static void judge_lost(void) {
  if (m.mode == MODE_FLOWING) m.engine_lost_watch = 1;
  else if (engine.age_us <= m.dt_us) m.engine_lost_watch = 0;
  if (m.engine_lost_watch && engine_lost()) trip(LOCK_RPM_LOST, engine.age_us);
}

static bool outran(u32 moved, u32 free, u32 most) {
  u32 counted = moved - free - 1;
  return moved > free + 1 && (counted > LARGEST_MOVE || counted * 1000000 > most);
}

static void judge_change(struct shaft *shaft, u32 edge_us, u32 period_us, u32 fastest, u32 uneven, bool rises) {
  u32 apart_us = least(edge_us - shaft->judged_us, JUDGED_APART_US);
  if (shaft->trust < 2 || !period_us) {
    shaft->judged_speed = 0;
    shaft->judged_us = edge_us;
    shaft->too_fast = 0;
    return;
  }
  if (apart_us == 0) return;
  u32 now = shaft->pulse_speed, before = shaft->judged_speed;
  u32 moved = now > before ? now - before : rises ? 0 : before - now;
  u32 free = (before * uneven) >> 16;
  shaft->too_fast = before && outran(moved, free, fastest * apart_us) ? shaft->too_fast + 1 : 0;
  shaft->judged_speed = now;
  shaft->judged_us = edge_us;
}

static void judge_jump(void) {
  if (!SETTING(ENGINE_JUMP_PRESENT)) return;
  u32 fastest = SETTING(ENGINE_JUMP_FASTEST_RPM_PER_S);
  judge_change(&engine, inputs.engineEdgeUs, inputs.enginePeriodUs, fastest, m.uneven_x64k, false);
  if (engine.too_fast >= 2 && is_armed()) trip(LOCK_RPM_JUMP, engine.judged_speed);
}

static void judge_driveline(void) {
  m.cut_back_us = m.cut_back_us > m.dt_us ? m.cut_back_us - m.dt_us : 0;
  if (!SETTING(DRIVELINE_PRESENT)) return;
  u32 fastest = SETTING(DRIVELINE_FASTEST_DECI_KMH_PER_S);
  judge_change(&road, inputs.roadEdgeUs, inputs.roadPeriodUs, fastest, 0, true);
  if (road.too_fast >= 2 && is_armed()) m.cut_back_us = SETTING(DRIVELINE_HOLD_MS) * 1000;
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
  m.fuel_low_turns = missing ? m.fuel_low_turns + 1 : 0;
  if (m.fuel_low_turns > FUEL_TURNS) trip(LOCK_FUEL_LOW, (u32)sensors[ADC_FUEL].value);
}

static void judge_mixture(void) {
  if (!SETTING(LAMBDA_PRESENT)) return;
  i32 lambda = sensors[ADC_LAMBDA].value;
  bool lean = m.mode == MODE_FLOWING && lambda > (i32)SETTING(LAMBDA_LEANEST_MILLI_LAMBDA);
  m.lean_us = lean ? add_until_full(m.lean_us, m.round_us) : 0;
  if (m.lean_us + TURN_US > SETTING(LAMBDA_WITHIN_MS) * 1000) trip(LOCK_LEAN, (u32)lambda);
}

static void judge_throttle(void) {
  if (!SETTING(THROTTLE_SWITCH) || !SETTING(THROTTLE_POSITION_PRESENT)) return;
  i32 opening = sensors[ADC_THROTTLE].value;
  bool contradict = inputs.switches & SWITCH_THROTTLE
                        ? opening < (i32)SETTING(THROTTLE_POSITION_CLOSES_AT_PERMILLE)
                        : opening >= (i32)SETTING(THROTTLE_POSITION_OPENS_AT_PERMILLE);
  m.contradict_us = contradict ? add_until_full(m.contradict_us, m.round_us) : 0;
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
  bool waiting = stage->share_x32 > 0 && !(inputs.switches & SWITCH_ENRICH);
  stage->unconfirmed_us = waiting ? stage->unconfirmed_us + m.round_us : 0;
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
