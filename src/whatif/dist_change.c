/* dist_change.c - a distribution scaled or moved as a whole, and as JSON.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "whatif/dist_change.h"

#include <string.h>

/* Parameters in the unit of the quantity scale; gsd, dof, a and b have no unit. */
static bool has_unit(sm_family f, size_t i)
{
    const char *name = sm_dist_parameter_name(f, i);
    static const char *const without[] = {"gsd", "dof", "a", "b"};
    for (size_t j = 0; j < sizeof without / sizeof *without; j++)
        if (strcmp(name, without[j]) == 0)
            return false;
    return true;
}

sm_dist sm_dist_scaled(sm_dist d, double times)
{
    for (size_t i = 0; i < sm_dist_parameters(d.family); i++)
        if (has_unit(d.family, i))
            d.p[i] *= times;
    return d;
}

sm_dist sm_dist_moved(sm_dist d, double by)
{
    const double mean = sm_dist_mean(&d);
    if (d.family == SM_LOGNORMAL || d.family == SM_HALF_NORMAL)
        return by == 0 ? d : sm_dist_scaled(d, (mean + by) / mean);
    for (size_t i = 0; i < sm_dist_parameters(d.family); i++)
        if (has_unit(d.family, i) && strcmp(sm_dist_parameter_name(d.family, i), "sd") != 0 &&
            strcmp(sm_dist_parameter_name(d.family, i), "scale") != 0)
            d.p[i] += by;
    return d;
}

void sm_dist_parameters_json(sm_json *w, const char *name, const sm_dist *d)
{
    sm_json_open(w, name, SM_JSON_LINE);
    for (size_t i = 0; i < sm_dist_parameters(d->family); i++)
        sm_json_number(w, sm_dist_parameter_name(d->family, i), d->p[i]);
    sm_json_close(w);
}

void sm_dist_json(sm_text *out, const sm_dist *d)
{
    sm_json w = {.out = out};
    if (sm_dist_is_constant(d)) {
        sm_json_number(&w, NULL, sm_dist_mean(d));
        return;
    }
    sm_json_open(&w, NULL, SM_JSON_LINE);
    sm_dist_parameters_json(&w, sm_dist_family_name(d->family), d);
    sm_json_close(&w);
}
