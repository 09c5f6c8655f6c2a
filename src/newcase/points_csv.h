/* points_csv.h - a list of points picked in a scan, as a table: label, x, y, z in mm (docs/new.md).
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_NEWCASE_POINTS_CSV_H
#define SM_NEWCASE_POINTS_CSV_H

#include "base/file_text.h"
#include "format/csv.h"
#include "measurement/case.h"
#include "measurement/picked.h"

/* lps: x to the patient's left, y to the back, z to the head. ras: x to the right, y to the front, z to the head. */
typedef enum { SM_AXES_UNSTATED, SM_AXES_LPS, SM_AXES_RAS } sm_axes;

/* "lps" or "ras", in any case. */
bool sm_axes_read(const char *word, sm_axes *out);

typedef enum {
    SM_POINT_BASE_1,
    SM_POINT_BASE_2,
    SM_POINT_BASE_3,
    SM_POINT_RING_CENTRE,
    SM_POINT_AXIS_TOP,
    SM_POINT_AZIMUTH_0,
    SM_POINTS_FIXED
} sm_point_label;

typedef enum { SM_POINT_OSTIUM, SM_POINT_JUNCTION, SM_POINT_LEAFLET_TOP, SM_POINTS_OF_SIDE } sm_point_part;

/* "base_1" and so on; what follows NAME. */
const char *sm_point_label_name(sm_point_label label);
const char *sm_point_part_name(sm_point_part part);

/* line 0: not in the file. */
typedef struct {
    sm_vector at; /* turned to lps */
    size_t line, column;
} sm_labelled_point;

typedef struct {
    char name[SM_NAME_SIZE]; /* in small letters */
    sm_labelled_point part[SM_POINTS_OF_SIDE];
} sm_points_side;

/* Zero-initialise; destroy in every case. */
typedef struct {
    const char *file;
    sm_labelled_point fixed[SM_POINTS_FIXED];
    sm_points_side *side;
    size_t n_sides;
    double circle_mm; /* 0: the file does not say */
    sm_axes axes;
} sm_points;

/* Reads one file; stated: what the command line says of its axes. Every fault of form goes to d: SM_REFUSED. */
sm_status sm_points_csv_read(sm_file_text text, sm_axes stated, sm_diag *d, sm_points *out);
void sm_points_destroy(sm_points *points);

/* A plain number, with an exponent perhaps, from -10,000 to 10,000. */
bool sm_points_number(const char *s, bool decimal_comma, double *out);

#endif
