/* ci95.c - a value with its 95 % confidence interval.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "readers/ci95.h"

#include <gsl/gsl_cdf.h>
#include <math.h>

sm_ci95 sm_ci95_t(double value, double se, double dof)
{
    double reach = dof > 0.0 ? gsl_cdf_tdist_Pinv(0.975, dof) * se : NAN;
    return (sm_ci95){.value = value, .low = value - reach, .high = value + reach};
}

double sm_satterthwaite_dof(double variance, double var_of_variance)
{
    if (!(variance > 0.0))
        return 0.0;
    return 2.0 * variance * variance / var_of_variance;
}

/* Ratio of the ends of the interval, as a log: falls as dof grows. */
static double log_ratio(double dof)
{
    return 0.5 * log(gsl_cdf_chisq_Pinv(0.975, dof) / gsl_cdf_chisq_Pinv(0.025, dof));
}

double sm_ci95_dof(sm_ci95 sd)
{
    enum { STEPS = 60 };
    static const double LEAST = 0.3; /* below, the ends lie a million times apart, and the low one nears 0 */
    if (!(sd.low >= 0.0) || !(sd.high > sd.low))
        return NAN;
    const double ratio = log(sd.high / sd.low); /* infinite if low is 0 */
    double low = log(LEAST), high = log(1e6);
    if (!(ratio < log_ratio(exp(low))))
        return 0.0;
    for (int i = 0; i < STEPS; i++) {
        const double middle = 0.5 * (low + high);
        *(log_ratio(exp(middle)) > ratio ? &low : &high) = middle;
    }
    return exp(0.5 * (low + high));
}

sm_ci95 sm_ci95_sd(double variance, double var_of_variance)
{
    double dof = sm_satterthwaite_dof(variance, var_of_variance);
    sm_ci95 sd = {.value = sqrt(variance), .low = 0.0, .high = sqrt(variance + SM_Z95 * sqrt(var_of_variance))};
    if (dof >= 1.0) {
        sd.low = sqrt(variance * dof / gsl_cdf_chisq_Pinv(0.975, dof));
        sd.high = sqrt(variance * dof / gsl_cdf_chisq_Pinv(0.025, dof));
    }
    return sd;
}
