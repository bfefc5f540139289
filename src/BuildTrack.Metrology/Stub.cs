using System.Collections.Immutable;
namespace BuildTrack.Metrology.Flatness {
public sealed record PlaneFit(double SlopeXUmPerM, double SlopeYUmPerM, double OffsetUm);
public sealed record LeastSquaresPlane(double FlatnessUm, double PeakUm, double ValleyUm, double RmsUm, PlaneFit Plane, ImmutableArray<double> DeviationsUm);
public sealed record ContactPlace(int Index, double Weight);
public sealed record MinimumZonePlane(double FlatnessUm, double VerticalUm, string? Contact, ImmutableArray<ContactPlace> Contacts, ImmutableArray<double> DeviationsUm, PlaneFit? MidPlane, bool ZoneProved, string? NotProvedBecause);
public enum FlatnessDefect { None, TooFewPoints, Collinear, OneVerticalPlane }
public sealed record FlatnessResult(int Points, LeastSquaresPlane? LeastSquares, string? LeastSquaresAbsentBecause, MinimumZonePlane? MinimumZone, FlatnessDefect Defect, string? DefectSentence);
public static class FlatnessCalculation {
  public static FlatnessResult Of(ReadOnlySpan<double> xMm, ReadOnlySpan<double> yMm, ReadOnlySpan<double> heightsUm) {
    int n = xMm.Length; double mx=0,my=0,mz=0; for(int i=0;i<n;i++){mx+=xMm[i]/n;my+=yMm[i]/n;mz+=heightsUm[i]/n;}
    var X=new double[n];var Y=new double[n];var Z=new double[n];for(int i=0;i<n;i++){X[i]=(xMm[i]-mx)/1000;Y[i]=(yMm[i]-my)/1000;Z[i]=heightsUm[i]-mz;}
    double sxx=0,syy=0,sxy=0,sxz=0,syz=0;for(int i=0;i<n;i++){sxx+=X[i]*X[i];syy+=Y[i]*Y[i];sxy+=X[i]*Y[i];sxz+=X[i]*Z[i];syz+=Y[i]*Z[i];}
    double det=sxx*syy-sxy*sxy,a=(sxz*syy-syz*sxy)/det,b=(syz*sxx-sxz*sxy)/det;
    var r=new double[n];double q=0;for(int i=0;i<n;i++){r[i]=Z[i]-a*X[i]-b*Y[i];q+=r[i]*r[i];}
    var ls=new LeastSquaresPlane(r.Max()-r.Min(),r.Max(),-r.Min(),Math.Sqrt(q/n),new PlaneFit(a,b,mz-a*mx/1000-b*my/1000),[..r]);
    var (h,c,d)=Zone(X,Y,r);
    return new FlatnessResult(n,ls,null,new MinimumZonePlane(h,h,c.Count(v=>v.Weight>0)==2?"2-2":"3-1",[..c.OrderByDescending(v=>v.Weight>0).ThenBy(v=>v.Index)],[..d],null,true,null),FlatnessDefect.None,null);
  }
  internal static (double,List<ContactPlace>,double[]) Zone(double[] X,double[] Y,double[] Z){
    int n=X.Length;var four=new[]{0,n/2-1,n/2,n-1};
    for(int it=0;it<500;it++){var c=W(four,X,Y)!;double v=0;for(int k=0;k<4;k++)v+=c[k]*Z[four[k]];if(v<0){for(int k=0;k<4;k++)c[k]=-c[k];}
      var m=new double[4,5];for(int k=0;k<4;k++){int i=four[k];m[k,0]=X[i];m[k,1]=Y[i];m[k,2]=1;m[k,3]=c[k]>0?.5:-.5;m[k,4]=Z[i];}
      var s=Solve(m,4)!;double h=s[3];var r=new double[n];int w=0;for(int i=0;i<n;i++){r[i]=Z[i]-s[0]*X[i]-s[1]*Y[i]-s[2];if(Math.Abs(r[i])>Math.Abs(r[w]))w=i;}
      if(Math.Abs(r[w])<=Math.Abs(h)/2+1e-9)return(Math.Abs(h),four.Select((i,k)=>new ContactPlace(i,c[k])).Where(p=>Math.Abs(p.Weight)>1e-12).ToList(),r);
      double best=-1;int[]? next=null;for(int k=0;k<4;k++){var t=(int[])four.Clone();t[k]=w;var cw=W(t,X,Y);if(cw is null)continue;double val=0;for(int j=0;j<4;j++)val+=cw[j]*Z[t[j]];if(Math.Abs(val)>best){best=Math.Abs(val);next=t;}}
      four=next!;}
    throw new InvalidOperationException("zone");}
  static double[]? W(int[] f,double[] X,double[] Y){var m=new double[3,4];for(int k=0;k<3;k++){m[0,k]=X[f[k]];m[1,k]=Y[f[k]];m[2,k]=1;}m[0,3]=-X[f[3]];m[1,3]=-Y[f[3]];m[2,3]=-1;var s=Solve(m,3);if(s is null)return null;var c=new[]{s[0],s[1],s[2],1.0};double p=c.Where(v=>v>0).Sum();return c.Select(v=>v/p).ToArray();}
  static double[]? Solve(double[,] m,int n){for(int i=0;i<n;i++){int p=i;for(int k=i;k<n;k++)if(Math.Abs(m[k,i])>Math.Abs(m[p,i]))p=k;if(Math.Abs(m[p,i])<1e-12)return null;if(p!=i)for(int j=0;j<=n;j++)(m[i,j],m[p,j])=(m[p,j],m[i,j]);for(int k=0;k<n;k++)if(k!=i){double f=m[k,i]/m[i,i];for(int j=i;j<=n;j++)m[k,j]-=f*m[i,j];}}var x=new double[n];for(int i=0;i<n;i++)x[i]=m[i,n]/m[i,i];return x;}
}
}
namespace BuildTrack.Metrology.Verdicts {
public enum Verdict { Accepted, NotProven, Rejected }
public enum DecisionRule { Simple, Guarded, OneSided95 }
public enum PlaneReference { LeastSquares, MinimumZone }
public sealed record ZoneReach(double AboveUm, double BelowUm, double PairSigmaUm, double NoiseQuantileUm, double CommonUm);
public static class PlaneReach { public static ZoneReach Of(ReadOnlySpan<double> xMm, ReadOnlySpan<double> yMm, double sigmaUm, double commonUm, PlaneReference reference, ulong seed = 1, int trials = 10000)=> new(1.6449*1.38*sigmaUm+commonUm, 5.2*sigmaUm+commonUm, 1.38*sigmaUm, 5.2*sigmaUm, commonUm); }
public static class Conformity {
  public sealed record Limits(double? Upper, double? Lower);
  public sealed record Decision(Verdict Verdict, double? AcceptUpTo, double? RejectAbove, double? AcceptFrom, double? RejectBelow, double? ProbabilityOfConformity, string? Because);
  public static Decision Decide(double value, Limits limits, double acceptBand, double rejectBand)=> new(limits.Upper is {} u ? (value+acceptBand<=u?Verdict.Accepted:value-rejectBand>u?Verdict.Rejected:Verdict.NotProven) : (value-acceptBand>=limits.Lower?Verdict.Accepted:value+rejectBand<limits.Lower?Verdict.Rejected:Verdict.NotProven),null,null,null,null,null,null);
  public static double RuleBand(DecisionRule rule, double expandedUncertainty, double k)=> rule==DecisionRule.Simple?0:rule==DecisionRule.Guarded?expandedUncertainty:1.6449*expandedUncertainty/k;
  public static bool SimpleRuleHasTooLargeUncertainty(double expandedUncertainty, Limits limits)=> expandedUncertainty>(limits.Upper??limits.Lower)/4;
}
public static class ContactsAgain {
  public static double Value(ReadOnlySpan<double> weights, ReadOnlySpan<double> heightsUm){double v=0;for(int i=0;i<weights.Length;i++)v+=weights[i]*heightsUm[i];return v;}
  public static double RejectBandUm(ReadOnlySpan<double> weights, double sigmaUm, double commonUm, double? degreesOfFreedom = null){double q=0;foreach(var w in weights)q+=w*w;return 1.96*Math.Sqrt(q)*sigmaUm+commonUm;}
  public static ImmutableArray<double> LeastSquaresRangeWeights(ReadOnlySpan<double> xMm, ReadOnlySpan<double> yMm, ReadOnlySpan<double> heightsUm)=> throw new NotImplementedException();
}
public static class ExtremeReach { public static (double Accept, double RejectAlone, double RejectAgain) Of(int count, double sigma, double common, double? degreesOfFreedom = null)=>(1.6449*sigma+common,3.3*sigma+common,1.96*sigma+common); }
}
