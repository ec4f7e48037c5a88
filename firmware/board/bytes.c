// memcpy, memmove and memset, which the compiler and the core's memory.copy and memory.fill call.
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

void *memcpy(void *restrict to, const void *restrict from, size_t count);
void *memmove(void *to, const void *from, size_t count);
void *memset(void *to, int value, size_t count);

#define WORD 4u
#define QUAD (4u * WORD)
#define IN_EVERY_BYTE 0x01010101u

static inline bool aligned(uintptr_t address) { return address % WORD == 0; }

static void copy_up(uint8_t *to, const uint8_t *from, size_t count) {
  if (aligned((uintptr_t)to | (uintptr_t)from)) {
    for (; count >= WORD; count -= WORD, to += WORD, from += WORD) *(uint32_t *)to = *(const uint32_t *)from;
  }
  while (count--) *to++ = *from++;
}

void *memcpy(void *restrict to, const void *restrict from, size_t count) {
  copy_up(to, from, count);
  return to;
}

void *memmove(void *to, const void *from, size_t count) {
  if ((uintptr_t)to - (uintptr_t)from >= count) {
    copy_up(to, from, count);
  } else {
    for (size_t i = count; i--;) ((uint8_t *)to)[i] = ((const uint8_t *)from)[i];
  }
  return to;
}

void *memset(void *to, int value, size_t count) {
  uint8_t *byte = to;
  for (; count && !aligned((uintptr_t)byte); count--) *byte++ = (uint8_t)value;
  uint32_t four = (uint8_t)value * IN_EVERY_BYTE;
  for (; count >= QUAD; count -= QUAD, byte += QUAD) {
    uint32_t *word = (uint32_t *)byte;
    word[0] = word[1] = word[2] = word[3] = four;
  }
  while (count--) *byte++ = (uint8_t)value;
  return to;
}
