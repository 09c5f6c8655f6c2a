/* output.c - the continuous outputs of a side and their order.
 *
 * Contents: 1. the table  2. the order in which people are told
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "geometry/output.h"

/* 1. The table */

const sm_output sm_outputs[SM_OUTPUTS] = {
#define ENTRY(id, kind, gap, name, title, column) [id] = {SM_OUTPUT_##kind, SM_GAP_##gap, name, title, column},
    SM_OUTPUT_LIST(ENTRY)
#undef ENTRY
};

/* 2. The order in which people are told */

void sm_outputs_by_gap(sm_output_id order[SM_OUTPUTS])
{
    int n = 0;
    for (int g = 0; g < SM_GAPS; g++)
        for (int o = 0; o < SM_OUTPUTS; o++)
            if (sm_outputs[o].gap == (sm_gap_id)g)
                order[n++] = (sm_output_id)o;
}
