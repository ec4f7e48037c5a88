// PWM: one slice a stage, nitrous on channel A, fuel on B, all slices running always. A pin is a PWM pin only while its
// pulse is above 0, the core wants no gap in it and has seen every cut of the arm switch; handed to SIO it is low.
#include "board.h"

#define FIRST_SLICE 4u
#define RETARD_SLICE 2u
#define TOP_AT_START 24999u
#define NITROUS(stage) (HG_FIRST_SOLENOID_PIN + 2u * (stage))
#define FUEL(stage) (HG_FIRST_SOLENOID_PIN + 2u * (stage) + 1u)

// Which stages drive a pin now, one bit a stage; the arm switch's interrupt clears it.
static volatile uint32_t running;
static uint32_t compare[HG_STAGES];
// Pins that the core wants low until its next tick, and those for which that has just changed. Their slices run on.
static uint32_t gaps, moved;
static uint32_t retard_top, retard_compare;

static inline bool gap_moves(uint32_t stage) { return moved >> 2u * stage & 3u; }

static void start_slice(uint32_t slice) {
  REG(PWM_DIV(slice)) = HG_PWM_DIVIDER << PWM_DIV_INT_SHIFT;
  REG(PWM_CTR(slice)) = 0;
  REG(PWM_CC(slice)) = 0;
  REG(PWM_TOP(slice)) = TOP_AT_START;
  REG(PWM_CSR(slice)) = PWM_ENABLE;
}

void stages_start(void) {
  for (uint32_t stage = 0; stage < HG_STAGES; stage++) start_slice(FIRST_SLICE + stage);
  start_slice(RETARD_SLICE);
  retard_top = TOP_AT_START;
}

void stages_cut(void) {
  pins_cut_solenoids();
  running = 0;
}

// Pins that run belong to the PWM, else to SIO. Fuel comes first and goes last.
static inline void release(uint32_t stage) {
  REG(IO_CTRL(NITROUS(stage))) = IO_FUNCTION_SIO;
  REG(IO_CTRL(FUEL(stage))) = IO_FUNCTION_SIO;
}

static inline void drive(uint32_t stage) {
  uint32_t low = gaps >> 2u * stage;
  if (low & 1u) REG(IO_CTRL(NITROUS(stage))) = IO_FUNCTION_SIO;
  REG(IO_CTRL(FUEL(stage))) = low & 2u ? IO_FUNCTION_SIO : IO_FUNCTION_PWM;
  if (!(low & 1u)) REG(IO_CTRL(NITROUS(stage))) = IO_FUNCTION_PWM;
}

// Pins may have been cut since the outputs were computed: looked at again with interrupts off, just before they are set.
static void drive_if_acked(uint32_t stage, uint32_t acked) {
  interrupts_off();
  if (pulses_arm_cuts == acked) {
    drive(stage);
    running |= 1u << stage;
  }
  interrupts_on();
}

// With the slice off: a wrap between two of the writes would leave the counter above its top, and the pulse 131 ms late. A
// counter at its top wraps at its next step.
static void load_fresh_pulse(uint32_t stage, uint32_t pulses) {
  uint32_t slice = FIRST_SLICE + stage;
  REG(PWM_CSR(slice)) = 0;
  REG(PWM_CC(slice)) = pulses;
  REG(PWM_TOP(slice)) = CORE_OUTPUTS->top;
  REG(PWM_CTR(slice)) = CORE_OUTPUTS->top;
  REG(PWM_CSR(slice)) = PWM_ENABLE;
}

static void stop(uint32_t stage) {
  interrupts_off();
  release(stage);
  running &= ~(1u << stage);
  interrupts_on();
}

static __attribute__((noinline)) void apply_stage(uint32_t stage, uint32_t pulses, bool wanted, uint32_t acked) {
  bool runs = running & 1u << stage;
  if (!wanted) {
    if (runs) stop(stage);
  } else if (!runs) {
    load_fresh_pulse(stage, pulses);
    drive_if_acked(stage, acked);
  } else {
    REG(PWM_CC(FIRST_SLICE + stage)) = pulses;
    if (gap_moves(stage)) drive_if_acked(stage, acked);
  }
  compare[stage] = pulses;
}

static void apply_retard(void) {
  if (CORE_OUTPUTS->top != retard_top) REG(PWM_TOP(RETARD_SLICE)) = retard_top = CORE_OUTPUTS->top;
  if (CORE_OUTPUTS->retard != retard_compare) REG(PWM_CC(RETARD_SLICE)) = retard_compare = CORE_OUTPUTS->retard;
  REG(IO_CTRL(HG_PIN_RETARD)) = IO_FUNCTION_PWM;
}

// Tells the core how far each stage's period has come.
void stages_fill(void) {
  for (uint32_t stage = 0; stage < HG_STAGES; stage++) CORE_INPUTS->phase[stage] = (uint16_t)REG(PWM_CTR(FIRST_SLICE + stage));
}

// Brings the pins to what the core's outputs say. A cut that the core has not seen keeps every solenoid pin low. Mostly
// nothing has changed, which two comparisons a stage find out.
void stages_apply(void) {
  uint32_t acked = CORE_OUTPUTS->ackedCuts;
  bool seen = acked == pulses_arm_cuts;
  const volatile uint32_t *both_pulses = (const volatile uint32_t *)CORE_OUTPUTS->pulse;
  uint32_t runs = running, wanted = seen ? CORE_OUTPUTS->runs : 0;
  moved = gaps ^ CORE_OUTPUTS->gaps;
  gaps ^= moved;
  for (uint32_t stage = 0; stage < HG_STAGES; stage++, runs >>= 1, wanted >>= 1) {
    uint32_t pulses = both_pulses[stage];
    bool same = pulses == compare[stage] && !((runs ^ wanted) & 1u) && !gap_moves(stage);
    if (!same) apply_stage(stage, pulses, wanted & 1u, acked);
  }
  apply_retard();
}
