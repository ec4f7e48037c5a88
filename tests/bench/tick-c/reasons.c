// What holds flow off now.
enum { SETTLE_US = 50000, STEADY_US = 5000, LOST_MAX_US = 60000 };

static bool throttle_proven(void) {
  if (SETTING(THROTTLE_SWITCH) && !(inputs.switches & SWITCH_THROTTLE)) return false;
  if (!SETTING(THROTTLE_POSITION_PRESENT)) return true;
  u32 least_opening = m.throttle_in ? SETTING(THROTTLE_POSITION_CLOSES_AT_PERMILLE)
                                    : SETTING(THROTTLE_POSITION_OPENS_AT_PERMILLE);
  m.throttle_in = sensors[ADC_THROTTLE].value >= (i32)least_opening;
  return m.throttle_in;
}

static bool bottle_ready(void) {
  if (!SETTING(BOTTLE_PRESENT)) return true;
  u32 extra = m.bottle_in ? 0 : SETTING(BOTTLE_HYSTERESIS_KPA_GAUGE);
  m.bottle_in = sensors[ADC_BOTTLE].value >= (i32)(SETTING(BOTTLE_LOWEST_KPA_GAUGE) + extra);
  return m.bottle_in;
}

static bool coolant_good(void) {
  if (!SETTING(COOLANT_PRESENT)) return true;
  u32 mv = (u32)sensors[ADC_COOLANT].value;
  return mv <= SETTING(COOLANT_COLD_ABOVE_MV) && mv >= SETTING(COOLANT_HOT_BELOW_MV);
}

static bool fuel_low(void) {
  return SETTING(FUEL_PRESENT) && sensors[ADC_FUEL].value < (i32)SETTING(FUEL_LOWEST_DECI_KPA_GAUGE);
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

static void judge_slow_reason(void) {
  static const u8 locks[] = {LOCK_BOTTLE_LOW, LOCK_FUEL_LOW, LOCK_BATT_LOW, LOCK_COOLANT};
  bool held;
  switch (m.turn) {
    case 0: held = !bottle_ready(); break;
    case 1: held = fuel_low(); break;
    case 2: held = m.battery_mv < SETTING(BATTERY_LOWEST_MV); break;
    default: held = !coolant_good();
  }
  u32 bit = BIT(locks[m.turn]);
  m.slow_reasons = held ? m.slow_reasons | bit : m.slow_reasons & ~bit;
}

static void judge_reasons(bool sensors_good, bool adc_good) {
  u32 reasons = arm_reasons();
  judge_slow_reason();
  reasons |= m.slow_reasons | system_windows();
  if (!throttle_proven()) reasons |= BIT(LOCK_WOT);
  if (engine_lost()) reasons |= BIT(LOCK_RPM_LOST);
  if (!sensors_good) reasons |= BIT(LOCK_SENSOR);
  if (!adc_good) reasons |= BIT(LOCK_ADC);
  if (m.mode == MODE_TRIPPED || m.mode == MODE_LOCKED) reasons |= BIT(m.trip);
  m.reasons = reasons;
}
