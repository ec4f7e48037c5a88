// Drain voltage of each driver against its pin.
enum { CONDUCTING_MV = 1200, CONDUCTING = CONDUCTING_MV / SUPPLY_MV_PER_CODE, LOADED = 4500 / SUPPLY_MV_PER_CODE };
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

/** Counts what was seen, or lets it leak. */
static bool doubt(u8 *counter, bool seen) {
  if (seen) *counter += DOUBT;
  else if (*counter) --*counter;
  return *counter >= TOO_MUCH;
}

static void watch_driver(u32 channel, u32 level) {
  u32 what = wrong(channel, level);
  if (doubt(&driver_doubts[level][channel], what)) lock_out(LOCK_DRIVER, fault_of(channel, what));
}

/** A pin that had another level a tick before says nothing. */
static void watch_drains(void) {
  u32 levels = inputs.solenoidPins;
  u32 steady = m.solenoids & ~(levels ^ m.pins_before);
  m.pins_before = levels;
  for (u32 channel = 0; channel < 2 * STAGES; channel++)
    if (steady & BIT(channel)) watch_driver(channel, levels >> channel & 1);
}

static void watch_drivers(void) {
  bool lost = m.supply_mv < CONDUCTING_MV;
  if (m.turn == 0 && doubt(&supply_doubts, lost)) lock_out(LOCK_KEEP_ALIVE, m.supply_mv);
  if (!lost) watch_drains();
}

static void forget_drivers(void) {
  memset(driver_doubts, 0, sizeof driver_doubts);
  supply_doubts = 0;
  m.pins_before = 0;
}

static void watch_tripped(void) {
  if (m.supply_mv > m.battery_mv / 2) watch_drains();
  else forget_drivers();
}
