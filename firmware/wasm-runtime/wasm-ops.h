// The operations of wasm2c's output, in place of the block that wasm2c puts before each module. Three things differ:
// bounds are checked in 32 bits against a constant, loads and stores assume natural alignment (AssemblyScript's; the
// Cortex-M0+ faults on any other), and the memory is static. Every access outside the memory still traps. What is
// missing here (floats, 64-bit division, indirect calls, growing) does not compile, which keeps it out of the core.
#ifndef HG_WASM_OPS_H
#define HG_WASM_OPS_H

#include <stdarg.h>
#include <stddef.h>
#include <string.h>

#include "../board/board.h"
#include "wasm-rt.h"

#define UNLIKELY(x) __builtin_expect(!!(x), 0)
#define FUNC_PROLOGUE
#define FUNC_EPILOGUE
#define FUNC_TYPE_T(name) static const char name[]
#define UNREACHABLE wasm_trap()
#define assert(condition) ((void)0)
#define wasm_rt_is_initialized() true
#define wasm_rt_allocate_memory(memory, initial, max, is64, page) ((void)(memory))
#define wasm_rt_free_memory(memory) ((void)(memory))
#define WASM_RT_I32 0
#define WASM_RT_I64 1

// Pointer to a constant address, as a short offset from the start of the block around it. The compiler does not look
// through the empty asm, so that it keeps that start in a register instead of loading a full address for each access.
static inline __attribute__((always_inline)) void *near_pointer(u32 address, u32 bytes) {
  u32 reach = bytes == 4 ? 128u : bytes == 1 ? 32u : 64u;
  u8 *block = CORE_AT(address & ~(reach - 1u));
  __asm__("" : "+r"(block));
  return block + (address & (reach - 1u));
}

// Bytes at the end of the memory that only an access with a constant address may touch.
#define CORE_EDGE 256u

// Pointer to `bytes` bytes at base + offset, or a trap. `offset` is a constant of the instruction. While it is small the
// base alone is held against one constant, the edge less: the compiler then tests a base once for all fields behind it.
static inline __attribute__((always_inline)) void *core_pointer(u32 base, u32 offset, u32 bytes) {
  u32 room = offset <= CORE_EDGE - bytes && !__builtin_constant_p(base) ? CORE_EDGE : offset + bytes;
  if (UNLIKELY(offset > HG_CORE_MEMORY_BYTES - bytes || base > HG_CORE_MEMORY_BYTES - room)) wasm_trap();
  if (__builtin_constant_p(base)) return near_pointer(base + offset, bytes);
  return CORE_AT(base + offset);
}

#define DEFINE_LOAD(name, stored, widened, result)                                         \
  static inline __attribute__((always_inline)) result name(u32 base, u32 offset) {         \
    return (result)(widened) * (const stored *)core_pointer(base, offset, sizeof(stored)); \
  }

#define DEFINE_STORE(name, stored, given)                                                    \
  static inline __attribute__((always_inline)) void name(u32 base, u32 offset, given value) { \
    *(stored *)core_pointer(base, offset, sizeof(stored)) = (stored)value;                   \
  }

DEFINE_LOAD(i32_load, u32, u32, u32)
DEFINE_LOAD(i32_load8_s, s8, s32, u32)
DEFINE_LOAD(i32_load8_u, u8, u32, u32)
DEFINE_LOAD(i32_load16_s, s16, s32, u32)
DEFINE_LOAD(i32_load16_u, u16, u32, u32)
DEFINE_LOAD(i64_load, u64, u64, u64)
DEFINE_LOAD(i64_load32_s, s32, s64, u64)
DEFINE_LOAD(i64_load32_u, u32, u64, u64)
DEFINE_STORE(i32_store, u32, u32)
DEFINE_STORE(i32_store8, u8, u32)
DEFINE_STORE(i32_store16, u16, u32)
DEFINE_STORE(i64_store, u64, u64)
DEFINE_STORE(i64_store32, u32, u64)

static inline void *core_range(u32 start, u32 count) {
  if (UNLIKELY(start > HG_CORE_MEMORY_BYTES || count > HG_CORE_MEMORY_BYTES - start)) wasm_trap();
  return CORE_AT(start);
}

#define memory_copy(to_memory, from_memory, to, from, count) \
  ((void)memmove(core_range(to, count), core_range(from, count), count))
#define memory_fill(memory, to, value, count) ((void)memset(core_range(to, count), (int)(value), count))
#define LOAD_DATA(memory, to, from, count) ((void)memcpy(core_range(to, count), from, count))

static inline u32 checked_divisor(u32 divisor) {
  if (UNLIKELY(divisor == 0)) wasm_trap();
  return divisor;
}

static inline u32 divide_signed(s32 dividend, s32 divisor) {
  if (UNLIKELY(dividend == INT32_MIN && divisor == -1)) wasm_trap();
  return (u32)(dividend / (s32)checked_divisor((u32)divisor));
}

static inline u32 remainder_signed(s32 dividend, s32 divisor) {
  if (divisor == -1) return 0;
  return (u32)(dividend % (s32)checked_divisor((u32)divisor));
}

static inline u32 rotate_left(u32 value, u32 by) { return value << (by & 31u) | value >> (-by & 31u); }

// wasm2c uses DIV_U and REM_U for both widths; a 64-bit division is not offered.
#define DIV_U(dividend, divisor) ((dividend) / checked_divisor(only_32_bits(divisor)))
#define REM_U(dividend, divisor) ((dividend) % checked_divisor(only_32_bits(divisor)))
#define only_32_bits(value) _Generic((value), u32: (value))
#define I32_DIV_S(dividend, divisor) divide_signed((s32)(dividend), (s32)(divisor))
#define I32_REM_S(dividend, divisor) remainder_signed((s32)(dividend), (s32)(divisor))
#define I32_ROTL(value, by) rotate_left(value, by)
#define I32_ROTR(value, by) rotate_left(value, -(by))
#define I32_CLZ(value) ((value) ? (u32)__builtin_clz(value) : 32u)
#define I32_CTZ(value) ((value) ? (u32)__builtin_ctz(value) : 32u)

#endif
