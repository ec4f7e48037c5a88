// The remaining outputs and what the controller says of itself: lamp, retard request, live block.
enum { CYCLE_US = 2000000, BLINK_MS = 100, FLICKER_MS = 50 };

static bool blinks(u32 count, u32 at_ms) {
  u32 place_in_cycle = at_ms / BLINK_MS;
  return place_in_cycle < 2 * count && !(place_in_cycle & 1);
}

static bool lamp(void) {
  m.lamp_us += m.round_us;
  if (m.lamp_us >= CYCLE_US) m.lamp_us -= CYCLE_US;
  u32 at_ms = m.lamp_us / 1000;
  switch (m.mode) {
    case MODE_FLOWING: return !(at_ms / FLICKER_MS & 1);
    case MODE_ARMED: return lifted() || !blinks(2, at_ms);
    case MODE_ARMING: return true;
    case MODE_TRIPPED: return blinks(3, at_ms);
    case MODE_SERVICE: return blinks(4, at_ms);
    case MODE_LOCKED: return blinks(5, at_ms);
    default: return blinks(1, at_ms);
  }
}

static u32 whole_flow(void) {
  u32 sum = stages[0].asked_flow + stages[1].asked_flow + stages[2].asked_flow + stages[3].asked_flow;
  return sum / m.portions >> 5;
}

static u32 table_at(u32 flow) {
  const u16 *at = &settings[RETARD_TABLE_FIRST / 2];
  const u16 *last = at + 2 * (SETTING(RETARD_TABLE_COUNT) - 1);
  if (flow <= at[0]) return flow ? at[1] : 0;
  for (; at < last; at += 2)
    if (flow < at[2]) return at[1] + (u32)(at[3] - at[1]) * (flow - at[0]) / (u32)(at[2] - at[0]);
  return last[1];
}

static void follow(u32 wanted) {
  if (wanted >= m.retard_deci_deg) {
    m.retard_deci_deg = wanted;
    m.retard_since_us = m.now_us;
    m.retard_next = 0;
    return;
  }
  if (wanted > m.retard_next) m.retard_next = wanted;
  if (m.now_us - m.retard_since_us < SETTING(RETARD_LEAD_MS) * 1000) return;
  m.retard_deci_deg = m.retard_next;
  m.retard_since_us = m.now_us;
  m.retard_next = wanted;
}

static u32 retard_steps(void) {
  if (!SETTING(RETARD_PRESENT)) return 0;
  m.flow_permille = whole_flow();
  follow(table_at(m.flow_permille));
  return m.retard_deci_deg * m.period_steps / SETTING(RETARD_FULL_SIGNAL_DECI_DEG);
}

static void put_measured(void) {
  live.engineRpm = (u16)engine.speed;
  live.roadDeciKmh = (u16)road.speed;
  u32 by_switch = inputs.switches & SWITCH_THROTTLE ? 1000 : 0;
  live.throttlePermille = (u16)(SETTING(THROTTLE_POSITION_PRESENT) ? (u32)sensors[ADC_THROTTLE].value : by_switch);
  live.manifoldDeciKpa = (u16)sensors[ADC_MANIFOLD].value;
  live.bottleKpaGauge = (u16)sensors[ADC_BOTTLE].value;
  live.fuelDeciKpaGauge = (u16)sensors[ADC_FUEL].value;
  live.milliLambda = (u16)sensors[ADC_LAMBDA].value;
  live.coolantMv = (u16)sensors[ADC_COOLANT].value;
  live.batteryMv = (u16)m.battery_mv;
  live.supplyMv = (u16)m.supply_mv;
  live.gear = (u16)m.gear;
  live.retardDeciDeg = (u16)m.retard_deci_deg;
  for (u32 s = 0; s < STAGES; s++) live.sharePermille[s] = (u16)(stages[s].share_x32 >> 5);
}

static void note_measured(void);

static void put_slow(u32 flowing, bool sensors_good) {
  switch (m.turn) {
    case 0: m.lamp_on = lamp() ? OUTPUT_LAMP : 0; break;
    case 1: m.bottle_flags = bottle_outputs(flowing, sensors_good); break;
    case 2: m.retard_steps = retard_steps(); break;
    default:
      put_measured();
      note_measured();
  }
}

static void put_outputs(u32 flowing, bool sensors_good) {
  put_slow(flowing, sensors_good);
  u32 relay = m.keep_alive == PIN_HIGH ? OUTPUT_KEEP_ALIVE_HIGH : m.keep_alive ? OUTPUT_KEEP_ALIVE : 0;
  outputs.gaps = m.gaps;
  outputs.lockout = m.mode == MODE_LOCKED ? m.trip | (m.trip ^ 0xff) << 8 | m.trip_value << 16 : 0;
  u32 active = flowing ? OUTPUT_STAGE_ACTIVE : 0;
  outputs.flags = relay | m.lamp_on | active | (m.bottle_flags & bottle_allowed(flowing, sensors_good));
  outputs.top = (u16)(m.period_steps - 1);
  outputs.retard = (u16)m.retard_steps;
  outputs.ackedCuts = m.cuts_seen;
}

static u32 all_reasons(u32 flowing) {
  u32 reasons = m.reasons, count = SETTING(STAGES_COUNT);
  if (flowing) return reasons;
  for (u32 s = 0; s < count; s++) reasons |= stages[s].reasons;
  return reasons;
}

static void put_live(u32 flowing) {
  live.timeUs = m.now_us;
  live.reasons = all_reasons(flowing);
  live.tripValue = m.trip_value;
  live.noiseCuts = m.noise_cuts;
  live.mode = (u8)m.mode;
  live.trip = (u8)m.trip;
  live.flowing = (u8)flowing;
  live.flags = (u8)outputs.flags;
  live.switches = (u16)inputs.switches;
  live.loopUs = inputs.loopUs;
}
