// SPI0: one round over both MCP3208 and a 74HC165, a slot of four 6-bit frames each, moved on by the receive interrupt.
// The chips take turns, so each select stays high for a whole slot. A round that is not finished is never read.
#include "board.h"

#define CHANNELS 8u
#define SLOTS 18u
#define PLACES 18u
#define FRAME_BITS 6u
// 125 MHz / 126 = 992 kHz, under the 1 MHz that an MCP3208 takes at its lowest supply.
#define CLOCK_PRESCALE 126u
#define SELECT_A (1u << HG_PIN_ADC_A_SELECT)
#define SELECT_B (1u << HG_PIN_ADC_B_SELECT)
// 24 clocks: five zeros, start, single-ended, channel (3), two idle, then the answer: bit 12 the null bit, 11 to 0 the code.
#define COMMAND_FIRST_FRAME 0x01u
#define COMMAND_SECOND_FRAME(channel) (0x20u | (channel) << 2)
#define PAIR_OF_CODES 0x0fff0fffu
#define PAIR_OF_NULL_BITS 0x10001000u
#define NULL_BIT 0x1000u
// A gap in what drives the solenoids, or a try of a driver, begins just before a round. The first drain is sampled 0.08 ms
// into it, when its tap has followed (hence the pause, in which no chip is selected), the last within 0.5 ms.
// The register sends its 8 inputs, H first, then its serial input; H and the serial input are tied high, its
// spare inputs low: an open data line reads ones only. ADC A's select
// loads it while low, so its slot follows one of ADC A.
#define REGISTER_SHIFT 16
#define REGISTER_TAIL 0xffffu
#define REGISTER_H (1u << 7)
#define REGISTER_SPARE (7u << 4)
#define SLOW_SWITCH_BITS 0xfu
#define FIRST_SLOW_SWITCH HG_SWITCH_PURGE
_Static_assert(HG_SWITCH_HEATER == FIRST_SLOW_SWITCH << 1 && HG_SWITCH_BOTTLE_VALVE == FIRST_SLOW_SWITCH << 2 &&
                   HG_SWITCH_ENRICH == FIRST_SLOW_SWITCH << 3,
               "slow switches follow each other as in the register");
_Static_assert(offsetof(struct hg_inputs, adcB) == offsetof(struct hg_inputs, adcA) + 2 * CHANNELS, "A, then B");

// `watched` is the status of the solenoid pin whose drain the slot samples; slots that sample none watch the same one in vain.
struct slot {
  uint32_t select, command, place, watched;
};
#define WATCHED(channel) IO_STATUS(HG_FIRST_SOLENOID_PIN + (channel))
#define REGISTER_PLACE (2u * CHANNELS)
#define SLOT_A(channel) {SELECT_A, COMMAND_SECOND_FRAME(channel), channel, WATCHED(channel)}
#define SLOT_B(channel) {SELECT_B, COMMAND_SECOND_FRAME(channel), CHANNELS + (channel), WATCHED(channel)}
#define SLOT_REGISTER {0, 0, REGISTER_PLACE, WATCHED(0u)}
#define SLOT_PAUSE {0, 0, REGISTER_PLACE + 1u, WATCHED(0u)}
static const struct slot plan[SLOTS] = {
    SLOT_A(0u), SLOT_REGISTER, SLOT_PAUSE, SLOT_B(0u), SLOT_A(1u), SLOT_B(1u), SLOT_A(2u), SLOT_B(2u), SLOT_A(3u),
    SLOT_B(3u), SLOT_A(4u),    SLOT_B(4u), SLOT_A(5u), SLOT_B(5u), SLOT_A(6u), SLOT_B(6u), SLOT_A(7u), SLOT_B(7u)};

// `now` is the slot under way, the end of the plan once a round is finished. Codes lie as in the inputs, with null bits.
static struct {
  const struct slot *volatile now;
  uint32_t switches;
  union {
    uint16_t codes[PLACES];
    uint32_t pairs[CHANNELS];
  };
  uint32_t levels[PLACES];
} round;
static bool fresh;
static uint32_t rounds;
static uint32_t slow_switches;

void spi0_isr(void);

static inline void begin_slot(const struct slot *slot) {
  REG(SIO_GPIO_OUT_CLEAR) = slot->select;
  REG(SPI_DR) = COMMAND_FIRST_FRAME;
  REG(SPI_DR) = slot->command;
  REG(SPI_DR) = 0;
  REG(SPI_DR) = 0;
  round.levels[slot->place] = REG(slot->watched);
}

// Four frames are in: the slot is over.
void spi0_isr(void) {
  REG(SIO_GPIO_OUT_SET) = SELECT_A | SELECT_B;
  uint32_t answer = REG(SPI_DR);
  answer = answer << FRAME_BITS | REG(SPI_DR);
  answer = answer << FRAME_BITS | REG(SPI_DR);
  answer = answer << FRAME_BITS | REG(SPI_DR);
  const struct slot *slot = round.now;
  round.codes[slot->place] = (uint16_t)answer;
  if (slot->place == REGISTER_PLACE) round.switches = answer;
  round.now = ++slot;
  if (slot < plan + SLOTS) begin_slot(slot);
}

void adc_start(void) {
  REG(SPI_CR1) = 0;
  REG(SPI_CPSR) = CLOCK_PRESCALE;
  REG(SPI_CR0) = FRAME_BITS - 1u;
  REG(SPI_CR1) = SPI_CR1_ENABLE;
  REG(SPI_IMSC) = SPI_INT_RX_HALF;
  round.now = plan + SLOTS;
  irq_enable(IRQ_SPI0, 2);
}

void adc_begin_round(void) {
  if (round.now != plan + SLOTS) return;
  fresh = true;
  round.now = plan;
  begin_slot(plan);
}

// One bit for each channel of both ADCs that sent a one for its null bit.
static __attribute__((noinline)) uint32_t missing_channels(void) {
  uint32_t missing = 0;
  for (uint32_t place = 0; place < 2u * CHANNELS; place++) {
    if (round.codes[place] & NULL_BIT) missing |= 1u << place;
  }
  return missing;
}

static void take_codes(void) {
  volatile uint32_t *to = (volatile uint32_t *)CORE_INPUTS->adcA;
  uint32_t null_bits = 0;
  for (uint32_t pair = 0; pair < CHANNELS; pair++) {
    null_bits |= round.pairs[pair];
    to[pair] = round.pairs[pair] & PAIR_OF_CODES;
  }
  CORE_INPUTS->adcMissing = null_bits & PAIR_OF_NULL_BITS ? (uint16_t)missing_channels() : 0;
}

// Levels of the solenoid pins when their drains were sampled, nitrous 1 first.
static uint32_t sampled_levels(void) {
  uint32_t levels = 0;
  for (uint32_t channel = 2u * HG_STAGES; channel-- > 0;) {
    levels = levels << 1 | (round.levels[CHANNELS + channel] >> IO_STATUS_OUTTOPAD_BIT & 1u);
  }
  return levels;
}

// A register that does not answer reads as all switches open.
static uint32_t switches_of(uint32_t answer) {
  uint32_t bits = answer >> REGISTER_SHIFT;
  if ((bits & (REGISTER_H | REGISTER_SPARE)) != REGISTER_H || (answer & REGISTER_TAIL) != REGISTER_TAIL) return 0;
  return (bits & SLOW_SWITCH_BITS) * FIRST_SLOW_SWITCH;
}

// Copies a finished round into the inputs, else leaves the last one. Returns the slow switches as bits of Inputs.switches.
uint32_t adc_fill(void) {
  if (!fresh || round.now != plan + SLOTS) return slow_switches;
  fresh = false;
  take_codes();
  CORE_INPUTS->solenoidPins = (uint16_t)sampled_levels();
  CORE_INPUTS->adcRounds = (uint16_t)++rounds;
  slow_switches = switches_of(round.switches);
  return slow_switches;
}
