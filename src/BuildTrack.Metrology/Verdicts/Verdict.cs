namespace BuildTrack.Metrology.Verdicts;

/// <summary>The answer to "does it conform?". There are three; "not proven" is an answer, not a failure.</summary>
public enum Verdict
{
    /// <summary>The requirement is met, with at most the agreed risk of being wrong.</summary>
    Accepted,

    /// <summary>The value lies too near the limit for its uncertainty: neither acceptance nor rejection is proved.</summary>
    NotProven,

    /// <summary>The requirement is not met, with at most the agreed risk of being wrong.</summary>
    Rejected,
}

/// <summary>How a contract asks the uncertainty to be taken into account.</summary>
public enum DecisionRule
{
    /// <summary>No band; usable only where U is at most a quarter of the limit.</summary>
    Simple,

    /// <summary>Guarded acceptance, band U (k = 2).</summary>
    Guarded,

    /// <summary>Guarded acceptance at 95 % one-sided probability, band 1.6449 u (ISO 14253-1).</summary>
    OneSided95,
}

/// <summary>The plane from which flatness is taken.</summary>
public enum PlaneReference
{
    /// <summary>Plane of least squares.</summary>
    LeastSquares,

    /// <summary>Mid plane of the minimum zone.</summary>
    MinimumZone,
}
