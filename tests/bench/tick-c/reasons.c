// What holds flow off now.
enum { SETTLE_US = 50000, STEADY_US = 5000, LOST_MAX_US = 60000, BATTERY_BACK_MV = 300 };
enum { CLOSED_PERMILLE = 200, LIFT_US = 50000 };
/** Hold-offs that must not hunt. */
enum { HOLD_LEAST_US = 250000, STOP_US = 10000000, MOST_STOPS_US = 2 * STOP_US };
/** The supply behind the relay against the battery. */
enum { MOST_APART_MV = 2000, APART_HOLDS_US = 50000, APART_TRIPS_US = 500000, ROUND_US = 4000, HIGHEST_MV = 16500, BACK_MV = 500 };

static bool throttle_proven(void) {
  if (SETTING(THROTTLE_SWITCH) && !(inputs.switches & SWITCH_THROTTLE)) return false;
  if (!SETTING(THROTTLE_POSITION_PRESENT)) return true;
  u32 least_opening = m.throttle_in ? SETTING(THROTTLE_POSITION_CLOSES_AT_PERMILLE)
                                    : SETTING(THROTTLE_POSITION_OPENS_AT_PERMILLE);
  m.throttle_in = sensors[ADC_THROTTLE].value >= (i32)least_opening;
  return m.throttle_in;
}

static bool throttle_closed(void) {
  if (SETTING(THROTTLE_SWITCH) && inputs.switches & SWITCH_THROTTLE) return false;
  return !SETTING(THROTTLE_POSITION_PRESENT) || sensors[ADC_THROTTLE].value < CLOSED_PERMILLE;
}

static bool lifted(void) { return m.lift_us >= LIFT_US; }

static void follow_lift(bool sensors_good) {
  if (lifted() || !is_up()) return;
  m.lift_us = sensors_good && throttle_closed() ? add_until_full(m.lift_us, m.dt_us) : 0;
}

static bool coolant_good(void) {
  if (!SETTING(COOLANT_PRESENT)) return true;
  u32 mv = (u32)sensors[ADC_COOLANT].value;
  return mv <= SETTING(COOLANT_COLD_ABOVE_MV) && mv >= SETTING(COOLANT_HOT_BELOW_MV);
}

static bool fuel_low(void) {
  return SETTING(FUEL_PRESENT) && sensors[ADC_FUEL].value < (i32)SETTING(FUEL_LOWEST_DECI_KPA_GAUGE);
}

static bool follow_hold(struct hold *hold, bool bad, bool good) {
  hold->stops_us -= least(hold->stops_us, m.round_us);
  if (!hold->holds) {
    if (!bad) return false;
    hold->holds = 1;
    hold->held_us = 0;
    if (m.flowing) hold->stops_us += STOP_US;
    return true;
  }
  hold->held_us = add_until_full(hold->held_us, m.round_us);
  if (good && hold->held_us >= HOLD_LEAST_US) hold->holds = 0;
  return hold->holds;
}

static bool hold_fuel(void) {
  u32 lowest = SETTING(FUEL_LOWEST_DECI_KPA_GAUGE);
  bool enough = sensors[ADC_FUEL].value >= (i32)(lowest + (lowest >> 4));
  bool held = SETTING(FUEL_PRESENT) && follow_hold(&fuel_hold, fuel_low(), enough);
  if (fuel_hold.stops_us > MOST_STOPS_US) trip(LOCK_FUEL_LOW, (u32)sensors[ADC_FUEL].value);
  return held;
}

static bool hold_battery(void) {
  u32 lowest = SETTING(BATTERY_LOWEST_MV);
  bool held = follow_hold(&battery_hold, m.battery_mv < lowest, m.battery_mv >= lowest + BATTERY_BACK_MV);
  if (battery_hold.stops_us > MOST_STOPS_US) trip(LOCK_BATT_LOW, m.battery_mv);
  return held;
}

static bool hold_bottle(void) {
  if (!SETTING(BOTTLE_PRESENT)) return false;
  i32 kpa = sensors[ADC_BOTTLE].value, lowest = SETTING(BOTTLE_LOWEST_KPA_GAUGE);
  bool held = follow_hold(&bottle_hold, kpa < lowest, kpa >= lowest + (i32)SETTING(BOTTLE_HYSTERESIS_KPA_GAUGE));
  if (bottle_hold.stops_us > MOST_STOPS_US) trip(LOCK_BOTTLE_LOW, (u32)kpa);
  return held;
}

static bool too_high(u32 limit_mv) { return (m.battery_mv > m.supply_mv ? m.battery_mv : m.supply_mv) > limit_mv; }

static bool judge_supply(void) {
  if (!is_armed()) m.supply_apart_us = 0;
  else if (apart(m.battery_mv, m.supply_mv) > MOST_APART_MV) m.supply_apart_us = add_until_full(m.supply_apart_us, m.round_us);
  else if (!m.flowing || inputs.solenoidPins) m.supply_apart_us -= least(m.supply_apart_us, m.round_us >> 1);
  u32 apart_us = m.supply_apart_us + ROUND_US;
  bool bad = apart_us > APART_HOLDS_US;
  bool held = follow_hold(&supply_hold, bad || too_high(HIGHEST_MV), !bad && !too_high(HIGHEST_MV - BACK_MV));
  if (apart_us > APART_TRIPS_US || supply_hold.stops_us > MOST_STOPS_US) trip(LOCK_SUPPLY, m.supply_mv);
  return held;
}

static bool engine_lost(void) {
  u32 period_us = inputs.enginePeriodUs;
  return engine.age_us > (period_us < LOST_MAX_US / 3 ? 3 * period_us : LOST_MAX_US);
}

static u32 arm_reasons(void) {
  u32 on = inputs.switches & SWITCH_ARM;
  if (!is_armed()) return m.boot_hold && on ? BIT(LOCK_ARM_BOOT) : BIT(LOCK_ARM);
  return on && m.arm_on_us >= STEADY_US && m.armed_us >= SETTLE_US ? 0 : BIT(LOCK_ARM);
}

static void slow_reason(u32 lock, bool held) {
  m.slow_reasons = held ? m.slow_reasons | BIT(lock) : m.slow_reasons & ~BIT(lock);
}

static void judge_slow_reason(void) {
  switch (m.turn) {
    case 1: slow_reason(LOCK_FUEL_LOW, hold_fuel()); break;
    case 2: slow_reason(LOCK_BATT_LOW, hold_battery()); break;
    case 3: slow_reason(LOCK_SUPPLY, judge_supply()); break;
    default:
      slow_reason(LOCK_BOTTLE_LOW, hold_bottle());
      slow_reason(LOCK_COOLANT, !coolant_good());
  }
}

static void judge_reasons(bool sensors_good, bool adc_good) {
  u32 reasons = arm_reasons();
  follow_lift(sensors_good);
  judge_slow_reason();
  reasons |= m.slow_reasons | system_windows();
  if (is_armed() && !lifted()) reasons |= BIT(LOCK_LIFT);
  if (speed_doubted()) reasons |= BIT(LOCK_RPM_JUMP);
  if (!throttle_proven()) reasons |= BIT(LOCK_WOT);
  if (engine_lost()) reasons |= BIT(LOCK_RPM_LOST);
  if (!sensors_good) reasons |= BIT(LOCK_SENSOR);
  if (!adc_good) reasons |= BIT(LOCK_ADC);
  if (m.mode == MODE_TRIPPED || m.mode == MODE_LOCKED) reasons |= BIT(m.trip);
  m.reasons = reasons;
}
