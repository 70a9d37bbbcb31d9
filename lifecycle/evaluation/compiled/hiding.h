/* Hidden leaks: section 3 of the model, `hiding` and `past` in the numpy form.

What a standing roof hides are running sums, brought from month to month: open leaks are thinned by what
signs and visits find, the sum of exp(-u / rot_time) rots on, silent leaks wait. Only where a leak turns
severe, or stops being sudden, does its age matter; what is left of it by then stands beside its birth.

*Left* is the share of open leaks that nobody has found. The signs of a month leave 1 - q, where `signs` is
q = 1 - exp(-sign_rate / 12); its visits leave the product of their (1 - finds), `left_by_visits`; and a time
leaves the product of both over its months.
*/

typedef struct {                                  /* hidden leaks of a standing roof */
    Draws open, puncture, end, sound;             /* open; of them punctures, end leaks; sum exp(-u/rot) */
    Draws severe, severe_end;                     /* past `severe_after`: not end leaks, end leaks */
    Draws silent, silent_puncture, silent_sound;
    Draws insured, insured_silent;                /* what insurance would pay if they were found now */
} Hidden;

/* Whole months until a leak hidden for `age` months is past `severe_after`, at most `cap`. */
static void months_until_severe(const Leaks *leaks, double age, int cap, int *months)
{
    EACH_LANE {
        double limit = floor(12.0 * leaks->severe_after[lane] - age + TOLERANCE) + 1.0;
        months[lane] = limit < cap ? (limit > 0.0 ? (int)limit : 0) : cap;
    }
}

static inline Draws damage_of(const Leaks *leaks, Draws leak_number, Draws sound)
{
    return leak_number * (leaks->patch_cost + leaks->rot_cost) - leaks->rot_cost * sound;
}

/* What insurance pays for one puncture found after some months: sudden damage above the deductible. */
static Draws insurance(const Leaks *leaks, double months)
{
    Draws damage = leaks->patch_cost + leaks->rot_cost * chance(months / 12.0 / leaks->rot_time);
    Draws payment = leaks->insured_share * most(all(0.0), damage - leaks->deductible);
    return choose((Flags)(all(months) <= 12.0 * leaks->sudden_within + TOLERANCE), payment, all(0.0));
}

/* Today from the past upkeep, given that the roof stands: births of the past, thinned to today. */
static void today_from_upkeep(Room *room, const Past *past, const Roof *roof, const Leaks *leaks)
{
    const uint32_t *due = room->of->calendar + past->due;
    Visit visits[MOST_VISITS];
    read_visits(room, past->visit, past->visits, visits);
    read_left_by_visits(visits, due, past->age, room->left_by_visits);
    const Draws unseen = 1.0 - chance(leaks->sign_rate / 12.0), share = leaks->silent_share;
    Draws *left = room->left;                     /* today, of a leak open from month m on */
    left[past->age + 1] = all(1.0);
    for (int m = past->age; m > 0; m--) left[m] = left[m + 1] * unseen * room->left_by_visits[m];

    Today *today = &room->today;
    Course now = course_from(roof, all(0.0), all(0.0));
    const Draws surface = first_year_leaks(roof);
    int until[LANES], turned[LANES];
    months_until_severe(leaks, 0.5, past->age + 1, until);
    today->number = past->age;
    for (int m = 1; m <= past->age; m++) {
        const Month born = grow(roof, &surface, &now);
        if (m < past->age) rejuvenate(roof, visits, due[m], &now);
        Draws still = {0};
        EACH_LANE {
            turned[lane] = m + until[lane] < past->age + 1 ? m + until[lane] : past->age + 1;
            still[lane] = m + until[lane] > past->age;
        }
        const Draws open_left = (1.0 - share) * left[m] + share * (1.0 - still) * picked(left, turned, 0);
        const int i = m - 1;
        today->age[i] = past->age - m + 0.5;
        today->plain[i] = born.plain * open_left;
        today->puncture[i] = born.puncture * open_left;
        today->end[i] = born.end * left[m];
        today->silent[i] = born.plain * share * still;
        today->silent_puncture[i] = born.puncture * share * still;
    }
    today->effective_age = now.age;
}

/* Today from a list. */
static void today_listed(Room *room, const Past *past, const Roof *roof, const Leaks *leaks)
{
    const int each = sizeof(HiddenLeak) / sizeof(Draws);
    Today *today = &room->today;
    today->number = past->listed;
    for (int i = 0; i < past->listed; i++) {
        HiddenLeak listed;
        READ(room, past->hidden_leak + i * each, listed);
        int until[LANES];
        const double age = room->of->hidden_ages[i];
        months_until_severe(leaks, age, 1, until);
        Draws silent = leaks->silent_share;
        EACH_LANE if (until[lane] == 0) silent[lane] = 0.0;
        today->age[i] = age;
        today->silent[i] = (listed.joint + listed.puncture) * silent;
        today->silent_puncture[i] = listed.puncture * silent;
        today->plain[i] = listed.joint + listed.puncture - today->silent[i];
        today->puncture[i] = listed.puncture - today->silent_puncture[i];
        today->end[i] = all(0.0);
    }
    today->effective_age = roof->ageing * (double)past->age / 12.0;
}

static void find_today(Room *room)
{
    const Past *past = room->of->past;
    Roof roof;
    Leaks leaks;
    READ(room, past->roof, roof);
    READ(room, past->leaks, leaks);
    if (past->listed < 0) today_from_upkeep(room, past, &roof, &leaks);
    else today_listed(room, past, &roof, &leaks);
    Today *today = &room->today;
    if (past->effective_age >= 0) today->effective_age = number(room, past->effective_age);
    const Draws missed = 1.0 - number(room, past->inspected);
    for (int i = 0; i < today->number; i++) {
        today->plain[i] *= missed;
        today->puncture[i] *= missed;
        today->end[i] *= missed;
    }
}

/* What is the same in all months of a spell. */
typedef struct {
    Leaks leaks;
    Draws signs, fading, half_faded;              /* of a month: q, exp(-1 / 12 rot_time) */
    Draws until_severe, unseen_until_severe, sound_when_severe;
    int until[LANES], longest_until;              /* months from birth until severe */
    int insures, oldest_sudden;
    double sudden_months;
    Draws left_of_start;                          /* now, of a leak open in month 0 */
} Hiding;

static Hiding hiding_from(Room *room, int leaks_row, int last)
{
    Hiding of = {.left_of_start = all(1.0)};
    READ(room, leaks_row, of.leaks);
    const Draws rot_months = 12.0 * of.leaks.rot_time;
    of.signs = chance(of.leaks.sign_rate / 12.0);
    of.fading = exponential(-1.0 / rot_months);
    of.half_faded = exponential(-0.5 / rot_months);
    months_until_severe(&of.leaks, 0.5, last + 1, of.until);
    EACH_LANE of.until_severe[lane] = of.until[lane];
    of.longest_until = (int)largest(of.until_severe);
    of.unseen_until_severe = power(1.0 - of.signs, of.until_severe);
    of.sound_when_severe = exponential(-(of.until_severe + 0.5) / rot_months);
    of.insures = any_above(of.leaks.insured_share, 0.0);
    of.sudden_months = largest(12.0 * of.leaks.sudden_within) + TOLERANCE;
    of.oldest_sudden = of.insures ? (int)fmin(floor(of.sudden_months - 0.5), last) : -1;
    for (int lag = 0; lag <= of.oldest_sudden; lag++) {
        room->births.sudden_amount[lag] = insurance(&of.leaks, lag + 0.5);
        room->births.sudden[lag] = all(0.0);
    }
    return of;
}

/* Put today's cohorts into the running sums of month 0, and what turns severe later into its month. */
static void hide_today(Room *room, const Leaks *leaks, int last, Hidden *hidden)
{
    const Today *today = &room->today;
    const Turning *turning = &room->turning;
    Draws *by_month[] = {turning->plain, turning->end, turning->silent, turning->silent_puncture,
                         turning->silent_sound};
    for (int i = 0; i < 5; i++) memset(by_month[i], 0, (size_t)(last + 1) * sizeof(Draws));
    const Draws rot_months = 12.0 * leaks->rot_time;
    for (int i = 0; i < today->number; i++) {
        const Draws open = today->plain[i] + today->end[i];
        const Draws sound = exponential(-today->age[i] / rot_months);
        hidden->open += open;
        hidden->puncture += today->puncture[i];
        hidden->end += today->end[i];
        hidden->sound += open * sound;
        hidden->silent += today->silent[i];
        hidden->silent_puncture += today->silent_puncture[i];
        hidden->silent_sound += today->silent[i] * sound;
        today->puncture_now[i] = today->puncture[i];
        int when[LANES];
        Draws delay;
        months_until_severe(leaks, today->age[i], last + 1, when);
        EACH_LANE delay[lane] = when[lane] + today->age[i];
        const Draws silent_sound = today->silent[i] * exponential(-delay / rot_months);
        EACH_LANE {
            if (when[lane] > last) continue;
            turning->plain[when[lane]][lane] += today->plain[i][lane];
            turning->end[when[lane]][lane] += today->end[i][lane];
            turning->silent[when[lane]][lane] += today->silent[i][lane];
            turning->silent_puncture[when[lane]][lane] += today->silent_puncture[i][lane];
            turning->silent_sound[when[lane]][lane] += silent_sound[lane];
        }
    }
}

/* The hidden leaks of last month, as its signs and visits left them, and rotted on. */
static void carry_on(const Hiding *of, Draws left, Hidden *hidden)
{
    hidden->open *= left;
    hidden->puncture *= left;
    hidden->end *= left;
    hidden->severe *= left;
    hidden->severe_end *= left;
    hidden->sound *= left * of->fading;
    hidden->silent_sound *= of->fading;
}

/* Leaks of the month start; a share of those that are no end leaks is silent. */
static void start_leaks(Room *room, const Hiding *of, int t, const Month *born, Hidden *hidden)
{
    const Draws share = of->leaks.silent_share;
    const Draws openly = born->plain * (1.0 - share) + born->end, silently = born->plain * share;
    room->births.plain[t] = born->plain;
    room->births.puncture[t] = born->puncture;
    room->births.end[t] = born->end;
    room->births.left[t] = of->unseen_until_severe;
    hidden->open += openly;
    hidden->puncture += born->puncture * (1.0 - share);
    hidden->end += born->end;
    hidden->sound += openly * of->half_faded;
    hidden->silent += silently;
    hidden->silent_puncture += born->puncture * share;
    hidden->silent_sound += silently * of->half_faded;
}

/* Leaks that are past `severe_after` from this month on; silent ones are open from now. */
static void turn_severe(const Room *room, const Hiding *of, int t, int newly_laid, Hidden *hidden)
{
    const Draws share = of->leaks.silent_share;
    int born[LANES];
    EACH_LANE born[lane] = t - of->until[lane];
    const Draws turning = picked(room->births.plain, born, 1), left = picked(room->births.left, born, 1);
    Draws number = turning * share, punctures = picked(room->births.puncture, born, 1) * share;
    Draws sound = number * of->sound_when_severe;
    hidden->severe += number + turning * (1.0 - share) * left;
    hidden->severe_end += picked(room->births.end, born, 1) * left;
    if (!newly_laid) {
        number += room->turning.silent[t];
        punctures += room->turning.silent_puncture[t];
        sound += room->turning.silent_sound[t];
        hidden->severe += room->turning.silent[t] + room->turning.plain[t] * of->left_of_start;
        hidden->severe_end += room->turning.end[t] * of->left_of_start;
    }
    hidden->open += number;
    hidden->silent -= number;
    hidden->puncture += punctures;
    hidden->silent_puncture -= punctures;
    hidden->sound += sound;
    hidden->silent_sound -= sound;
}

/* What insurance would pay for the punctures that are sudden still, if they were found now. */
static void insure(Room *room, const Hiding *of, int t, int newly_laid, Draws left, Hidden *hidden)
{
    Draws open = {0}, silent = {0};
    for (int lag = t < of->oldest_sudden ? t : of->oldest_sudden; lag >= 0; lag--) {
        const Draws born = room->births.puncture[t - lag], quiet = born * of->leaks.silent_share;
        Draws *now = &room->births.sudden[lag], amount = room->births.sudden_amount[lag];
        *now = lag > 0 ? now[-1] * left : born - quiet;
        *now += choose((Flags)(of->until_severe == all(lag)), quiet, all(0.0));
        open += amount * *now;
        silent += amount * choose((Flags)(all(lag) < of->until_severe), quiet, all(0.0));
    }
    for (int i = 0; !newly_laid && i < room->today.number; i++) {
        const double age = room->today.age[i];
        if (t > of->sudden_months - age) continue;
        Draws *now = &room->today.puncture_now[i], quiet = room->today.silent_puncture[i];
        const Draws amount = insurance(&of->leaks, t + age);
        int when[LANES];
        months_until_severe(&of->leaks, age, t + 1, when);
        *now *= left;
        EACH_LANE {
            if (t == when[lane]) (*now)[lane] += quiet[lane];
            if (t >= when[lane]) quiet[lane] = 0.0;
        }
        open += amount * *now;
        silent += amount * quiet;
    }
    hidden->insured = open;
    hidden->insured_silent = silent;
}

/* Step 1, hiding: what the roof hides in month t before its signs are looked at. */
static void hide(Room *room, Hiding *of, int t, int newly_laid, const Month *born, Hidden *hidden)
{
    Draws left = all(1.0);                        /* by last month */
    if (t > 0) left = room->left_by_visits[t - 1];
    if (t > 1) left *= 1.0 - of->signs;           /* there are no signs in month 0 */
    of->left_of_start *= left;
    if (t > 0) carry_on(of, left, hidden);
    start_leaks(room, of, t, born, hidden);
    turn_severe(room, of, t, newly_laid, hidden);
    if (of->insures) insure(room, of, t, newly_laid, left, hidden);
}

/* A visit of month t thins what has started and is not severe yet. */
static void thin_births(Room *room, const Hiding *of, int t)
{
    for (int m = t + 1 > of->longest_until ? t + 1 - of->longest_until : 0; m <= t; m++)
        room->births.left[m] *=
            choose((Flags)(all(t - m) < of->until_severe), room->left_by_visits[t], all(1.0));
}
