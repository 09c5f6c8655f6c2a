/* lme4_data.h - data sets on which variance components are published or computed by R's lme4.
 * Dyestuff, Dyestuff2 and Penicillin: r-cran-lme4 1.1-31 (Debian), data(Dyestuff) and so on. Rail: r-cran-nlme 3.1-162.
 * Printed from R by name.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_TESTS_LME4_DATA_H
#define SM_TESTS_LME4_DATA_H

/* 6 batches, 5 readings each (Davies 1957) */
static const double dyestuff[] = {
    1545, 1440, 1440, 1520, 1580, 1540, 1555, 1490, 1560, 1495, 1595, 1550, 1605, 1510, 1560,
    1445, 1440, 1595, 1465, 1545, 1595, 1630, 1515, 1635, 1625, 1520, 1455, 1450, 1480, 1445,
};

/* the same design, simulated without a batch effect (Box and Tiao 1973) */
static const double dyestuff2[] = {
    7.298, 3.846, 2.434, 9.566, 7.99, 5.22,  6.556, 0.608, 11.788, -0.892, 0.11,  10.386, 13.434, 5.51,  8.166,
    2.212, 4.852, 7.092, 9.288, 4.98, 0.282, 9.014, 4.458, 9.446,  7.198,  1.722, 4.782,  8.106,  0.758, 3.758,
};

/* 6 rails, 3 readings each (Pinheiro and Bates 2000) */
static const double rail[] = {
    55, 53, 54, 26, 37, 32, 78, 91, 85, 92, 100, 96, 49, 51, 50, 80, 85, 83,
};

/* 24 plates by 6 samples, crossed, one reading each, samples fastest (Davies and Goldsmith 1972) */
static const double penicillin[] = {
    27, 23, 26, 23, 23, 21, 27, 23, 26, 23, 23, 21, 25, 21, 25, 24, 24, 20, 26, 23, 25, 23, 23, 20, 25, 22, 26, 22, 23,
    20, 24, 22, 25, 23, 22, 19, 24, 20, 23, 21, 22, 19, 26, 22, 26, 24, 24, 21, 24, 21, 24, 22, 22, 20, 24, 21, 24, 23,
    22, 19, 26, 23, 26, 24, 24, 21, 25, 22, 26, 24, 24, 20, 26, 24, 26, 24, 25, 22, 26, 23, 26, 23, 23, 20, 26, 23, 25,
    24, 24, 22, 25, 22, 25, 23, 23, 20, 25, 21, 24, 23, 23, 20, 25, 22, 24, 23, 23, 19, 24, 21, 23, 21, 21, 19, 26, 23,
    26, 24, 24, 21, 25, 21, 24, 22, 22, 18, 25, 22, 25, 22, 22, 20, 24, 21, 24, 22, 24, 19, 24, 21, 24, 22, 21, 18,
};

#endif
