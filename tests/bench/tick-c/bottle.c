// Purge, heater and bottle valve.
enum { HEATER_MOST_S = 3600, MINUTE_US = 60000000, EMPTY_KPA = 1000 };

static void forget(void) {
  m.purge_quiet_us = add_until_full(m.purge_quiet_us, m.round_us);
  if (m.purge_quiet_us >= MINUTE_US) m.purge_spent_us = 0;
}

static bool may_purge(u32 flowing) {
  if (!(inputs.switches & SWITCH_PURGE)) {
    m.purge_us = 0;
    return false;
  }
  u32 longest = SETTING(PURGE_LONGEST_MS) * 1000;
  bool spent = m.purge_spent_us >= SETTING(PURGE_EACH_MINUTE_MS) * 1000;
  bool may = !flowing && m.mode == MODE_ARMED && throttle_closed();
  if (may && !spent && m.purge_us < longest) return true;
  if (spent || m.purge_us) m.purge_us = longest;
  return false;
}

static bool purges(u32 flowing) {
  if (!SETTING(PURGE_PRESENT)) return false;
  if (!may_purge(flowing)) {
    forget();
    return false;
  }
  m.purge_quiet_us = 0;
  m.purge_us = add_until_full(m.purge_us, m.round_us);
  m.purge_spent_us = add_until_full(m.purge_spent_us, m.round_us);
  return true;
}

static bool valve_open(void) {
  bool open = SETTING(BOTTLE_VALVE_PRESENT) && is_armed() && inputs.switches & SWITCH_BOTTLE_VALVE;
  m.valve_open_us = open ? add_until_full(m.valve_open_us, m.round_us) : 0;
  return open;
}

static bool heats_in_mode(void) { return m.mode == MODE_OFF || m.mode == MODE_ARMING || m.mode == MODE_ARMED; }

static bool heater_allowed(bool sensors_good) {
  if (!sensors_good || !heats_in_mode()) return false;
  if (m.battery_mv < SETTING(BATTERY_LOWEST_MV) || m.heater_spent) return false;
  if (SETTING(BOTTLE_VALVE_PRESENT) && !m.valve_open_us) return false;
  i32 kpa = sensors[ADC_BOTTLE].value;
  return kpa >= EMPTY_KPA && kpa < (i32)SETTING(BOTTLE_HIGHEST_KPA_GAUGE);
}

static bool heats(bool sensors_good) {
  if (!SETTING(HEATER_PRESENT)) return false;
  if (!(inputs.switches & SWITCH_HEATER)) {
    m.heater_us = m.heater_spent = m.heater_on = 0;
    return false;
  }
  i32 pressure = sensors[ADC_BOTTLE].value;
  if (pressure < (i32)SETTING(HEATER_ON_BELOW_KPA_GAUGE)) m.heater_on = 1;
  else if (pressure >= (i32)SETTING(HEATER_OFF_AT_KPA_GAUGE)) m.heater_on = 0;
  bool on = m.heater_on && heater_allowed(sensors_good);
  if (on) m.heater_us = add_until_full(m.heater_us, m.round_us);
  if (m.heater_us >= least(SETTING(HEATER_LONGEST_S), HEATER_MOST_S) * 1000000) m.heater_spent = 1;
  return on;
}

static u32 bottle_outputs(u32 flowing, bool sensors_good) {
  u32 flags = valve_open() ? OUTPUT_BOTTLE_VALVE : 0;
  if (purges(flowing)) flags |= OUTPUT_PURGE;
  return heats(sensors_good) ? flags | OUTPUT_HEATER : flags;
}

static u32 bottle_allowed(u32 flowing, bool sensors_good) {
  u32 allowed = is_armed() ? OUTPUT_BOTTLE_VALVE : 0;
  if (!flowing && m.mode == MODE_ARMED) allowed |= OUTPUT_PURGE;
  return sensors_good && heats_in_mode() ? allowed | OUTPUT_HEATER : allowed;
}
