// Cortex-M0+ NVIC: switching an interrupt on at a priority, 0 the highest. The arm switch has 0 to itself and the pulses.
#include "board.h"

void irq_enable(uint32_t irq, uint32_t priority) {
  uint32_t shift = NVIC_IPR_SHIFT(irq);
  REG(NVIC_IPR(irq)) = (REG(NVIC_IPR(irq)) & ~(3u << shift)) | priority << shift;
  REG(NVIC_ISER) = 1u << irq;
}
