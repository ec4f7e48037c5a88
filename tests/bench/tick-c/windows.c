// Windows with hysteresis on engine speed, road speed, manifold pressure and gear, of the system and of each stage.
enum { ENGINE_WINDOW, ROAD_WINDOW, MANIFOLD_WINDOW, GEAR_WINDOW };
/** Words from a window to its owner's next; each is open, close and hysteresis, or lowest and highest gear. */
enum { WINDOW_WORDS = 4 };

static struct bounds bounds_of(const u16 *words, u32 kind, bool left) {
  u32 low = words[0];
  u32 width = (u32)words[1] - low;
  if (kind == GEAR_WINDOW) return (struct bounds){low + 1, width};
  u32 hysteresis = words[2];
  if (left) return (struct bounds){low, width - hysteresis};
  u32 lower = least(low, hysteresis);
  return (struct bounds){low - lower, width + lower};
}

/** `first` is the owner's window on engine speed. Words before a window say whether it is there. */
static void bound(struct bounds *bounds, const u16 *first, u32 kind, bool always, bool left) {
  const u16 *words = first + kind * WINDOW_WORDS;
  bounds[kind] = always || words[-1] ? bounds_of(words, kind, left) : (struct bounds){0, UINT32_MAX};
}

static const u16 *stage_window(u32 s) { return &stage_settings(s)[STAGE_ENGINE_SPEED_AT / 2]; }

static void bound_system(u32 kinds) {
  for (u32 kind = 0; kind < WINDOW_KINDS; kind++)
    if (kinds & BIT(kind))
      bound(system_bounds, &settings[WINDOWS_ENGINE_SPEED_AT / 2], kind, kind == 0, system_left & BIT(kind));
}

static void bound_stage(u32 s, u32 kinds) {
  for (u32 kind = 0; kind < WINDOW_KINDS; kind++)
    if (kinds & BIT(kind)) bound(stage_bounds[s], stage_window(s), kind, false, stage_left[s] & BIT(kind));
}

/** What lies inside all stages' windows on engine speed: there none needs to be looked at by itself. */
static void bound_engines(void) {
  u32 low = 0, high = UINT32_MAX;
  engines_left = 0;
  for (u32 s = 0; s < STAGES; s++) {
    const struct bounds *its = &stage_bounds[s][ENGINE_WINDOW];
    if (its->low > low) low = its->low;
    high = least(high, add_until_full(its->low, its->width));
    engines_left |= stage_left[s] & BIT(ENGINE_WINDOW);
  }
  all_engines = high >= low ? (struct bounds){low, high - low} : (struct bounds){UINT32_MAX, 0};
}

static void prepare_windows(void) {
  system_left = 0xf;
  bound_system(0xf);
  for (u32 s = 0; s < STAGES; s++) {
    stage_left[s] = 0xf;
    bound_stage(s, 0xf);
  }
  bound_engines();
}

static bool outside(const struct bounds *bounds, u32 value) { return value - bounds->low > bounds->width; }

static u32 others_left(const struct bounds *bounds) {
  u32 left = outside(&bounds[ROAD_WINDOW], road.speed) ? BIT(ROAD_WINDOW) : 0;
  if (outside(&bounds[MANIFOLD_WINDOW], (u32)sensors[ADC_MANIFOLD].value)) left |= BIT(MANIFOLD_WINDOW);
  if (outside(&bounds[GEAR_WINDOW], m.gear)) left |= BIT(GEAR_WINDOW);
  return left;
}

static u32 reasons_of(u32 left) {
  u32 reasons = left & BIT(ENGINE_WINDOW) ? BIT(LOCK_RPM_WIN) : 0;
  if (left & BIT(ROAD_WINDOW)) reasons |= BIT(LOCK_SPEED_WIN);
  if (left & BIT(MANIFOLD_WINDOW)) reasons |= BIT(LOCK_MAP_WIN);
  return left & BIT(GEAR_WINDOW) ? reasons | BIT(LOCK_GEAR_WIN) : reasons;
}

static u32 system_windows(void) {
  u32 left = others_left(system_bounds);
  if (outside(&system_bounds[ENGINE_WINDOW], engine.speed)) left |= BIT(ENGINE_WINDOW);
  u32 moved = left ^ system_left;
  if (moved) {
    system_left = left;
    bound_system(moved);
  }
  return left ? reasons_of(left) : 0;
}

/** Bits of the stages whose own window on engine speed is left. */
static u32 engines_outside(void) {
  if (!engines_left && !outside(&all_engines, engine.speed)) return 0;
  u32 out = 0, moved = 0;
  for (u32 s = 0; s < STAGES; s++) {
    u32 left = outside(&stage_bounds[s][ENGINE_WINDOW], engine.speed) ? BIT(ENGINE_WINDOW) : 0;
    if ((stage_left[s] ^ left) & BIT(ENGINE_WINDOW)) {
      stage_left[s] ^= BIT(ENGINE_WINDOW);
      bound_stage(s, BIT(ENGINE_WINDOW));
      moved = 1;
    }
    out |= left << s;
  }
  if (moved) bound_engines();
  return out;
}

static u32 stage_windows(u32 s) {
  u32 left = others_left(stage_bounds[s]);
  u32 moved = (left ^ stage_left[s]) & ~BIT(ENGINE_WINDOW);
  if (moved) {
    stage_left[s] ^= moved;
    bound_stage(s, moved);
  }
  return left ? reasons_of(left) : 0;
}
