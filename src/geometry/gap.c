/* gap.c - the two gaps of a side: what is read, computed, limited and said of each.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "geometry/gap.h"

const sm_gap sm_gaps[SM_GAPS] = {[SM_GAP_OSTIUM] = {.quantity = SM_OSTIUM_GAP,
                                                    .height = SM_OSTIUM_HEIGHT,
                                                    .look = SM_SOURCE_OSTIUM_GAP_LOOK,
                                                    .clearance = SM_OSTIUM_CLEARANCE,
                                                    .conventional = SM_CONVENTIONAL_OSTIUM,
                                                    .limit = offsetof(sm_limits, ostium_clearance_mm),
                                                    .where = "beside the ostium",
                                                    .where_short = "beside the ostium",
                                                    .where_stj = "beside the ostium",
                                                    .reached = "ostium",
                                                    .place = "ostium",
                                                    .crossed = "crowded",
                                                    .suffix = ""},
                                 [SM_GAP_STJ] = {.quantity = SM_STJ_GAP,
                                                 .height = SM_STJ_HEIGHT,
                                                 .look = SM_SOURCE_STJ_GAP_LOOK,
                                                 .clearance = SM_STJ_CLEARANCE,
                                                 .conventional = SM_CONVENTIONAL_STJ,
                                                 .limit = offsetof(sm_limits, stj_clearance_mm),
                                                 .where = "at the sinotubular junction",
                                                 .where_short = "at the junction",
                                                 .where_stj = "at the STJ",
                                                 .reached = "junction",
                                                 .place = "sinus",
                                                 .crossed = "sealed",
                                                 .suffix = "-junction"}};

bool sm_gap_is_there(const sm_coronary *o, sm_gap_id gap)
{
    return o->has_ostium || gap != SM_GAP_OSTIUM;
}

const sm_dist *sm_gap_limit_dist(const sm_limits *limits, sm_gap_id gap)
{
    return (const sm_dist *)(const void *)((const char *)limits + sm_gaps[gap].limit);
}

double sm_gap_limit(const sm_limits *limits, sm_gap_id gap)
{
    return sm_dist_mean(sm_gap_limit_dist(limits, gap));
}
