/* json_scan.h - is this text strict JSON, and where does each value stand?
 *
 * cJSON accepts more than RFC 8259 and does not say where a value stood. This scan comes first: it refuses what is not
 * strict JSON with line and column, and notes the offset of every key and value in document order.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_FORMAT_JSON_SCAN_H
#define SM_FORMAT_JSON_SCAN_H

#include "base/diag.h"
#include "base/file_text.h"
#include "base/status.h"

#define SM_JSON_SIZE_LIMIT   ((size_t)4 * 1024 * 1024)
#define SM_JSON_DEPTH_LIMIT  64
#define SM_JSON_NUMBER_LIMIT 60 /* characters; cJSON reads 63 of a number and would take the rest for a fault */

#define SM_JSON_NOWHERE ((size_t)-1)

/* Byte offsets of a value and of its key (SM_JSON_NOWHERE if it is no member of an object). */
typedef struct {
    size_t key, value;
} sm_json_spot;

typedef struct {
    sm_json_spot *spot;
    size_t n, cap;
} sm_json_spots;

/* Scans file. SM_OK and the spots in document order (each value before those inside it), or SM_REFUSED with exactly one
 * fault in d, or SM_NO_MEMORY. Destroy the spots in every case. */
sm_status sm_json_scan(sm_file_text file, sm_json_spots *spots, sm_diag *d);
void sm_json_spots_destroy(sm_json_spots *spots);

/* Line and column, counted from 1, of a byte offset. */
void sm_json_locate(const char *text, size_t offset, size_t *line, size_t *column);

#endif
