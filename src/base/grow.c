/* grow.c - room for one more item in an array that grows.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/grow.h"

#include <stdlib.h>

void *sm_grow(void *array, size_t n, size_t *cap, size_t first, size_t size)
{
    if (n < *cap)
        return array;
    const size_t more = *cap ? 2 * *cap : first;
    void *moved = realloc(array, more * size);
    *cap = moved ? more : *cap;
    return moved;
}
