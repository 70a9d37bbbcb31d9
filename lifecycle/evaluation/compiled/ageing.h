/* The roof as an ageing thing: section 2 of the model, `timeline` in the numpy form.

As long as a roof stands its course is settled: seal age, effective age, and the leaks that start.
*/

enum { TERMS_AT_HAND = 48 };

static const double REFERENCE_SEAL_AGE = 0.5;       /* joints that age the roof as stated [years] */
static const double WORST_AGEING_MULTIPLIER = 2.0;  /* the most by which neglect ages a roof */

typedef struct {
    Draws seal, age;                              /* seal age and effective age now [years] */
    Draws seal_power, age_power, hazard;          /* seal ** k, A ** g, (A / scale) ** shape, of them */
    int joints, surface, neglect, lives;          /* whether joint and age leaks, neglect, ends occur */
} Course;

typedef struct { Draws plain, puncture, end, hazard; } Month;

static void take_powers(const Roof *roof, Course *now)
{
    if (now->joints) now->seal_power = power(now->seal, roof->joint_leak_growth);
    if (now->surface) now->age_power = power(now->age, roof->age_leak_growth);
    if (now->lives) now->hazard = power(now->age / roof->life_scale, roof->life_shape);
}

static Course course_from(const Roof *roof, Draws seal, Draws age)
{
    Course now = {.seal = seal, .age = age};
    now.joints = any_above(roof->joint_leaks_first_year, 0.0);
    now.surface = any_above(roof->age_leaks_ten_years, 0.0);
    now.neglect = !is_all(roof->upkeep_exponent, 0.0);
    now.lives = any((Flags)(roof->life_scale < all(INFINITY)));
    take_powers(roof, &now);
    return now;
}

/* Step 1, growing: the seal age and A grow by a month, and leaks of the month start. */
static Month grow(const Roof *roof, const Draws *age_leaks_first_year, Course *now)
{
    const Course before = *now;
    Draws multiple = all(1.0);
    if (now->neglect) {
        Draws mean_seal_age = now->seal + 1.0 / 24.0;
        multiple = power(mean_seal_age / REFERENCE_SEAL_AGE, roof->upkeep_exponent);
        multiple = least(all(WORST_AGEING_MULTIPLIER), most(all(1.0), multiple));
    }
    now->seal += 1.0 / 12.0;
    now->age += roof->ageing * multiple / 12.0;
    take_powers(roof, now);
    Month month = {.hazard = now->hazard - before.hazard, .puncture = roof->puncture_rate / 12.0};
    month.plain = month.puncture;
    if (now->joints) month.plain += roof->joint_leaks_first_year * (now->seal_power - before.seal_power);
    if (now->surface) month.plain += *age_leaks_first_year * (now->age_power - before.age_power);
    month.end = roof->ends_by_leak * month.hazard;
    return month;
}

static Draws first_year_leaks(const Roof *roof)
{
    return roof->age_leaks_ten_years / power(all(10.0), roof->age_leak_growth);
}

/* Visits of one day: what is left of the seal age and of A is 1 less the largest share taken away. */
static void rejuvenate(const Roof *roof, const Visit *visits, uint32_t due, Course *now)
{
    Draws seal_left = all(1.0), age_left = all(1.0);
    for (int v = 0; due >> v; v++) {
        if (!(due >> v & 1)) continue;
        seal_left = least(seal_left, 1.0 - visits[v].restores);
        age_left = least(age_left, 1.0 - visits[v].rejuvenates);
    }
    if (is_all(seal_left, 1.0) && is_all(age_left, 1.0)) return;
    now->seal *= seal_left;
    now->age *= age_left;
    take_powers(roof, now);
}

/* The visits of a day leave of the open leaks the product of their (1 - finds). */
static void read_left_by_visits(const Visit *visits, const uint32_t *due, int months, Draws *left)
{
    for (int t = 0; t <= months; t++) {
        left[t] = all(1.0);
        for (int v = 0; due[t] >> v; v++)
            if (due[t] >> v & 1) left[t] *= 1.0 - visits[v].finds;
    }
}

static void read_visits(const Room *room, int row, int number_of_visits, Visit *visits)
{
    const int each = sizeof(Visit) / sizeof(Draws);
    for (int v = 0; v < number_of_visits; v++) READ(room, row + v * each, visits[v]);
}

/* Mean residual life over mean life when new, at most 1: Q(1 / shape, H) exp(H), by a series for a young
roof, by a continued fraction from behind for an old one (see `deterioration`). */
typedef struct { Draws a, gamma, bound, inverse[TERMS_AT_HAND]; } Residual;

static Residual residual_of(const Roof *roof)
{
    Residual of = {.a = 1.0 / roof->life_shape};
    EACH_LANE of.gamma[lane] = tgamma(1.0 + of.a[lane]);
    of.bound = most(all(2.0), 1.0 + of.a);
    for (int n = 0; n < TERMS_AT_HAND; n++) of.inverse[n] = 1.0 / (of.a + (n + 1.0));
    return of;
}

static Draws residual_share(const Residual *of, Draws age_over_scale, Draws cumulative_hazard)
{
    const int depth = 20;
    const Draws hazard = least(cumulative_hazard, all(1e100));
    const Flags young = (Flags)(hazard <= of->bound);
    Draws share = {0};
    if (any(young)) {
        Draws h = choose(young, hazard, all(0.0)), total = all(1.0), term = all(1.0);
        for (int n = 0; any((Flags)(term > 1e-17 * total)); n++) {
            term *= h * (n < TERMS_AT_HAND ? of->inverse[n] : 1.0 / (of->a + (n + 1.0)));
            total += term;
        }
        share = exponential(h) - age_over_scale / of->gamma * total;
    }
    if (any(~young)) {
        Draws step = hazard + (2.0 * depth - of->a), next = (depth + 1.0) * (depth + 1.0 - of->a);
        Draws square = step * step + 4.0 * (step + 1.0 - next), value;
        EACH_LANE value[lane] = 0.5 * (step[lane] + sqrt(square[lane]));
        for (int level = depth; level > 0; level--)
            value = hazard + (2.0 * level - 1.0 - of->a) - level * (level - of->a) / value;
        share = choose(young, share, age_over_scale * of->a / of->gamma / value);
    }
    return least(all(1.0), share);
}

