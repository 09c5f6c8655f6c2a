/* series.c - published series of readings from patients who were obstructed and who were not.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "measurement/series.h"

const sm_published_limit sm_published_limits[SM_PUBLISHED_LIMITS] = {
    [SM_LIMITS_PLANNING] = {4, 2}, [SM_LIMITS_AFTER_IMPLANT] = {3, 1}};

const sm_published_group sm_published_obstructed = {3.24, 2.22, 20}, sm_published_unobstructed = {6.30, 2.34, 90};

sm_published_class sm_published_class_of(sm_leaflet_mount mount)
{
    static const sm_published_class rates[] = {
        [SM_MOUNT_INTERNAL] = {0.8, 8, 965}, [SM_MOUNT_EXTERNAL] = {6.1, 13, 213}, [SM_STENTLESS] = {3.7, 16, 434}};
    return rates[mount];
}

sm_series sm_series_published(sm_leaflet_mount mount)
{
    return (sm_series){sm_published_obstructed, sm_published_unobstructed, sm_published_class_of(mount)};
}
