/* look.h - a second look at a quantity that was read or is known, as a likelihood (model.md 3.1).
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_MEASUREMENT_LOOK_H
#define SM_MEASUREMENT_LOOK_H

#include "base/lanes.h"
#include "measurement/source.h"

/* What a case may look at a second time. The first three are a side's, the others the valve's. */
typedef enum {
    SM_LOOKED_OSTIUM_GAP,
    SM_LOOKED_STJ_GAP,
    SM_LOOKED_LEAFLET_HEIGHT,
    SM_LOOKED_INNER_DIAMETER,
    SM_LOOKED_THICKNESS,
    SM_LOOKED,
    SM_LOOKED_OF_SIDE = SM_LOOKED_INNER_DIAMETER /* how many are a side's */
} sm_looked;

/* X true, the quantity that both readings are about; a projection shortens what a direct measurement does not. */
typedef struct {
    const char *name; /* in the result, of a side's own what follows "left." */
    bool projection;
    sm_source_id source, first; /* of the look, and of the first reading */
    double low, high;           /* the domain of X, mm (docs/case-format.md): where a spoiled reading may lie */
} sm_looked_line;

extern const sm_looked_line sm_looked_table[SM_LOOKED];

/* What is looked at. k: its side, for those that a side has. */
const sm_quantity *sm_looked_quantity(const sm_case *c, int k, sm_looked at);

/* What one trial may take to be true. */
typedef enum { SM_BOTH_RIGHT, SM_LOOK_OFF, SM_FIRST_OFF, SM_LOOK_STATES } sm_look_state;

/* The constants of one second look: numbers alone, compared as bytes. mm, radians. */
typedef struct {
    double reading;          /* y: mean over readers of each reader's mean */
    double error_sd;         /* s = reader_sd/sqrt(m), at least SM_LOOK_LEAST_SD */
    double magnification_sd; /* relative; 0 if direct */
    double view_sd;          /* 0 if direct */
    double half_circle;      /* h; 0 if direct */
    double low, high;        /* the domain of X */
    double spoiled_density;  /* o/D, 1/mm: o = epsilon/(1 - epsilon), D = high - low */
} sm_look;

/* Where the look by itself, right, puts X: about 95 of 100 lie between, by the means and variances of the reader's
 * error, scale and view taken as those of a normal. */
void sm_look_range(const sm_look *l, double range[2]);

/* Nobody reads to less than a hundredth of a millimetre. */
#define SM_LOOK_LEAST_SD 0.01
/* cos G and 1 + M are drawn from their distributions cut there: a view at most 60 degrees off, a scale at least half of
 * what it should be. */
#define SM_LOOK_LEAST 0.5

/* Equal cross-checks make equal bytes. */
void sm_look_create(const sm_cross_check *c, sm_looked at, double circle_mm, sm_look *out);

/* (3.4): what the look would read of X, but for its reader's error. */
static inline double sm_look_shown(const sm_look *l, double X, double cosine, double scale)
{
    return ((X + l->half_circle) * cosine - l->half_circle) * scale;
}

/* (3.6): the X that the look alone has, its reader's error `error` taken off. */
static inline double sm_look_alone(const sm_look *l, double error, double cosine, double scale)
{
    return ((l->reading - error) / scale + l->half_circle) / cosine - l->half_circle;
}

#endif
