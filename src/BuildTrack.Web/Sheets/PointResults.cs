using BuildTrack.Domain.Machines;

namespace BuildTrack.Web.Sheets;

/// <summary>The results of a hold point as a customer's witness reads them.</summary>
/// <param name="No">Number of the table on its sheet.</param>
/// <param name="Released">What its title says of the release; empty for nothing.</param>
public sealed record PointResults(HoldStanding Point, int No, string Released);
