// Drain voltage of each driver against its pin.
enum { CONDUCTING_MV = 1200, CONDUCTING = CONDUCTING_MV / SUPPLY_MV_PER_CODE, LOADED = 4500 / SUPPLY_MV_PER_CODE };
enum { GAP_EVERY_US = 50000, GAP_AGAIN_US = 4000, NITROUS_PINS = 0x55 };
enum { LATE_US = 1100, KICKS_MV = 10000 };
enum { DOUBT = 16, TOO_MUCH = 4 * DOUBT, SHORTED = 1, OPEN_LOAD = 2, STUCK = 3 };

static u32 wrong(u32 channel, u32 level) {
  u32 drain = inputs.adcB[channel];
  if (level) return drain >= LOADED ? STUCK : 0;
  if (drain >= LOADED) return 0;
  return drain < CONDUCTING ? SHORTED : OPEN_LOAD;
}

static u32 fault_of(u32 channel, u32 what) { return (channel + 1) << 8 | what; }

static u32 drivers_at_rest(void) {
  for (u32 channel = 0; channel < 2 * STAGES; channel++) {
    u32 what = m.solenoids & BIT(channel) ? wrong(channel, 0) : 0;
    if (what) return fault_of(channel, what);
  }
  return 0;
}

static bool conducted(u32 channel) { return 2u * inputs.adcB[channel] * SUPPLY_MV_PER_CODE < m.supply_mv; }

static u32 stuck(u32 channel) { return fault_of(channel, STUCK); }

/** Counts what was seen, or lets it leak. */
static bool doubt(u8 *counter, bool seen) {
  if (seen) *counter += DOUBT;
  else if (*counter) --*counter;
  return *counter >= TOO_MUCH;
}

static void watch_driver(u32 channel, u32 level, bool in_gap) {
  u32 what = wrong(channel, level);
  if (what && in_gap) m.gap_us = GAP_EVERY_US - GAP_AGAIN_US;
  if (doubt(&driver_doubts[level][channel], what)) lock_out(LOCK_DRIVER, fault_of(channel, what));
}

/** A pin that had another level a tick before says nothing. */
static void watch_drains(void) {
  u32 levels = inputs.solenoidPins;
  u32 gaps = m.gaps & ~levels;
  u32 steady = m.solenoids & (~(levels ^ m.pins_before) | gaps);
  m.pins_before = levels;
  for (u32 channel = 0; channel < 2 * STAGES; channel++)
    if (steady & BIT(channel)) watch_driver(channel, levels >> channel & 1, gaps & BIT(channel));
}

static u32 both_of(u32 pins) { return pins | (pins & NITROUS_PINS) << 1 | (pins >> 1 & NITROUS_PINS); }

/** Pins that have been high all the time get a gap of one tick. */
static void follow_gaps(void) {
  m.high_since &= inputs.solenoidPins | m.gaps;
  m.gaps = 0;
  m.gap_us = m.flowing ? m.gap_us + m.dt_us : 0;
  if (m.gap_us < GAP_EVERY_US) return;
  if (m.closes_slowly) m.gaps = both_of(m.high_since & m.solenoids) & m.solenoids;
  m.gap_us = 0;
  m.high_since = 0xff;
}

/** A coil that was on for more than 6 ms must kick in one of the first two ticks after it. */
static void watch_clamps(void) {
  u32 levels = inputs.solenoidPins, late = kick_awaited & ~levels;
  u32 fell = m.pins_before & ~levels & pins_past[0] & pins_past[1] & pins_past[2] & pins_past[3];
  if (!(m.turn & 1)) {
    memmove(pins_past + 1, pins_past, 3);
    pins_past[0] = (u8)levels;
  }
  kick_awaited = 0;
  u32 missing = 0;
  for (u32 channel = 0; channel < 2 * STAGES; channel++)
    if ((fell | late) & BIT(channel) && inputs.adcB[channel] < m.kick) missing |= BIT(channel);
  if (missing && (m.dt_us >= LATE_US || m.supply_mv < KICKS_MV)) return;
  for (u32 channel = 0; channel < 2 * STAGES; channel++) {
    if (!((fell | late) & BIT(channel))) continue;
    bool kicked = !(missing & BIT(channel));
    if (!kicked && fell & BIT(channel)) kick_awaited |= BIT(channel);
    else if (doubt(&clamp_doubts[channel], !kicked)) lock_out(LOCK_CLAMP, channel + 1);
  }
}

static void watch_drivers(void) {
  bool lost = m.supply_mv < CONDUCTING_MV;
  if (m.turn == 0 && doubt(&supply_doubts, lost)) lock_out(LOCK_KEEP_ALIVE, m.supply_mv);
  if (lost) return;
  if (m.kick) watch_clamps();
  watch_drains();
}

static void forget_drivers(void) {
  memset(driver_doubts, 0, sizeof driver_doubts);
  memset(pins_past, 0, sizeof pins_past);
  supply_doubts = kick_awaited = 0;
  m.pins_before = 0;
}

static void watch_tripped(void) {
  if (m.supply_mv > m.battery_mv / 2) watch_drains();
  else forget_drivers();
}
