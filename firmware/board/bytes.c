// memcpy, memmove and memset, which the compiler and the core's memory.copy and memory.fill call.
#include <stddef.h>
#include <stdint.h>

void *memcpy(void *restrict to, const void *restrict from, size_t count);
void *memmove(void *to, const void *from, size_t count);
void *memset(void *to, int value, size_t count);

static void copy_up(uint8_t *to, const uint8_t *from, size_t count) {
  if (!(((uintptr_t)to | (uintptr_t)from) & 3u)) {
    for (; count >= 4; count -= 4, to += 4, from += 4) *(uint32_t *)to = *(const uint32_t *)from;
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
  for (uint8_t *byte = to; count--;) *byte++ = (uint8_t)value;
  return to;
}
