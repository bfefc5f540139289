namespace BuildTrack.Metrology.LevelNetwork;

/// <summary>Points that are eliminated together, and the later ones they are joined to by then.</summary>
/// <remarks>Inside a front the points are counted in the order of elimination: its own, then the rest, last of all the datum.</remarks>
internal sealed class Front(int first, int count, Front? parent)
{
    /// <summary>Position of the first of its own points in the order of elimination; the others follow.</summary>
    public int First { get; } = first;

    /// <summary>Number of its own points.</summary>
    public int Count { get; } = count;

    /// <summary>The front that is eliminated later and takes over what is left of this one; null where only the datum is left.</summary>
    public Front? Parent { get; } = parent;

    public int End => First + Count;

    /// <summary>Positions of the points left over, ascending, without the datum.</summary>
    public int[] Rest { get; private set; } = [];

    /// <summary>Where the parent counts the rest and the datum.</summary>
    public int[] ToParent { get; private set; } = [];

    /// <summary>Number of all its points with the datum.</summary>
    public int Size => Count + Rest.Length + 1;

    /// <summary>Length of a row: whole groups of four lanes.</summary>
    public int Stride => (Size + 3) & ~3;

    /// <summary>Where its own rows begin in the store of all own rows.</summary>
    public int Own { get; private set; }

    /// <summary>Where the rows of its rest begin in the working store.</summary>
    public int Left { get; private set; }

    /// <summary>Where all its rows begin in the working store of the way back.</summary>
    public int Whole { get; private set; }

    /// <summary>First column that a row of the rest holds.</summary>
    public int LeftColumn => Count & ~3;

    public int LeftStride => Stride - LeftColumn;

    public int LeftEnd => Left + (Rest.Length * LeftStride);

    public int WholeEnd => Whole + (Size * Stride);

    public void TakeRest(int[] rest) => Rest = rest;

    /// <summary>Places its rows, once parent and rest are known.</summary>
    public void Place(int own)
    {
        Own = own;
        Left = Parent?.LeftEnd ?? 0;
        Whole = Parent?.WholeEnd ?? 0;
        if (Parent is null)
            return;
        ToParent = new int[Rest.Length + 1];
        var k = 0;
        for (var i = 0; i < Rest.Length; i++)
        {
            if (Rest[i] < Parent.End)
            {
                ToParent[i] = Rest[i] - Parent.First;
                continue;
            }

            while (Parent.Rest[k] != Rest[i])
                k++;
            ToParent[i] = Parent.Count + k;
        }

        ToParent[^1] = Parent.Size - 1;
    }

    /// <summary>Where this front counts the point at a position, the datum being the one after all.</summary>
    public int Local(int position, int datum) =>
        position == datum ? Size - 1 : position < End ? position - First : Count + Array.BinarySearch(Rest, position);
}
