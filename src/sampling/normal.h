/* normal.h - quantiles of the standard normal distribution, by the column.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_SAMPLING_NORMAL_H
#define SM_SAMPLING_NORMAL_H

/* z[i] = the quantile at probability u[i], with a relative error below 1.2e-9. Below 1e-300 and above 1 - 1e-16 the
 * quantile there. z may be u. */
void sm_normal_quantiles(const double *u, double *z, int n);

#endif
