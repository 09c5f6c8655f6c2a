/* grow.h - room for one more item in an array that grows.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_BASE_GROW_H
#define SM_BASE_GROW_H

#include <stddef.h>

/* The array of n items of `size` bytes each, with room for one more: moved if n has reached *cap, which then
 * doubles, from `first` on. NULL without memory; the array is then still where it was. */
void *sm_grow(void *array, size_t n, size_t *cap, size_t first, size_t size);

#endif
