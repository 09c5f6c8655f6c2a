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
